import fc from "fast-check";
import { linearRegression, median as medianOf } from "simple-statistics";
import { describe, expect, it } from "vitest";
import { indexFrom, lineAt, median } from "../../../src/core/judging/lineAt.ts";
import { chance } from "../../support/pressureCurve.ts";

const next = chance(3);
const time_s = Array.from({ length: 40 }, (_, i) => i * 0.7 + 0.3 * next());
const y = time_s.map((t) => 1000 - 0.8 * t + next());

describe("a line read off at a moment", () => {
  it("agrees with a statistics library (simple-statistics)", () => {
    const { m, b } = linearRegression(time_s.map((t, i) => [t, y[i] ?? 0]));
    const fit = lineAt(time_s, y, 0, 40, 12);
    expect(fit?.slope).toBeCloseTo(m, 10);
    expect(fit?.value).toBeCloseTo(b + 12 * m, 8);
    const sse = time_s.reduce((sum, t, i) => sum + ((y[i] ?? 0) - b - m * t) ** 2, 0);
    expect(fit?.sse).toBeCloseTo(sse, 8);
  });

  it("knows its leverage: 1/n in the middle, 4/n at the end of many even readings (closed form)", () => {
    const even = Array.from({ length: 1001 }, (_, i) => i);
    expect(lineAt(even, even, 0, 1001, 500)?.leverage).toBeCloseTo(1 / 1001, 9);
    expect((lineAt(even, even, 0, 1001, 1000)?.leverage ?? 0) * 1001).toBeCloseTo(4, 1);
  });

  it("says nothing for one reading or one stamp", () => {
    expect(lineAt([1], [5], 0, 1, 0)).toBeNull();
    expect(lineAt([1, 1], [5, 6], 0, 2, 0)).toBeNull();
  });
});

describe("looking up", () => {
  it("finds the first reading not before a moment", () => {
    expect([0, 1, 1.5, 2, 9].map((m) => indexFrom([1, 2, 3], m))).toEqual([0, 0, 1, 1, 3]);
  });

  it("takes a median as the library does", () => {
    expect(median(y)).toBe(medianOf(y));
    expect(median(y.slice(1))).toBe(medianOf(y.slice(1)));
    expect(median([])).toBeNaN();
  });
});

it("finds the first time not before the one asked for, as a plain search does", () => {
  fc.assert(
    fc.property(fc.array(fc.integer({ min: 0, max: 50 })), fc.integer({ min: -5, max: 55 }), (times, asked) => {
      const sorted = times.sort((a, b) => a - b);
      const plain = sorted.findIndex((time) => time >= asked);
      expect(indexFrom(sorted, asked)).toBe(plain < 0 ? sorted.length : plain);
    }),
  );
});

it("takes the middle value as simple-statistics does", () => {
  fc.assert(
    fc.property(fc.array(fc.integer(), { minLength: 1 }), (values) => {
      expect(median(values)).toBe(medianOf(values));
    }),
  );
});
