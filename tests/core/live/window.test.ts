import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { Means } from "../../../src/core/live/means.ts";
import { Window } from "../../../src/core/live/window.ts";

describe("a window", () => {
  it("holds the newest values in order, as a plain list cut short would, and never more memory", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 9 }), fc.array(fc.double({ noNaN: true }), { maxLength: 60 }), (capacity, values) => {
        const window = new Window(capacity);
        const size = window.size_bytes;
        for (const [i, value] of values.entries()) window.add(i, value);
        const kept = values.slice(-capacity);
        expect([...window.value]).toEqual(kept);
        expect([...window.time_s]).toEqual(kept.map((_, i) => values.length - kept.length + i));
        expect(window.size_bytes).toBe(size);
      }),
    );
  });

  it("takes a time that runs backwards for the one before, and can be told a better last value", () => {
    const window = new Window(3);
    window.add(5, 1);
    window.add(4, 2);
    expect([...window.time_s]).toEqual([5, 5]);
    window.replaceLast(6, 3);
    expect([...window.time_s]).toEqual([5, 6]);
    expect([...window.value]).toEqual([1, 3]);
  });
});

describe("means of stretches", () => {
  it("average what falls into a tenth of a second and keep single readings as they are", () => {
    const means = new Means(0.1, 10);
    for (const [time_s, value] of [
      [0, 10],
      [0.02, 20],
      [0.04, 60],
      [0.35, 7],
      [1.5, 8],
    ] as const)
      means.add(time_s, value);
    expect([...means.window.value]).toEqual([30, 7, 8]);
    expect(means.window.time_s[0]).toBeCloseTo(0.02, 12);
    expect([...means.window.time_s.subarray(1)]).toEqual([0.35, 1.5]);
  });
});
