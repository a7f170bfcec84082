import { describe, expect, it } from "vitest";
import { StampWatch } from "../../../src/core/judging/stampWatch.ts";

const EPOCH = 1_767_225_600_000;

/** Readings at the given monotonic times, the wall clock ahead by so much at each. */
function watched(readings: readonly (readonly [at_ms: number, ahead_ms: number])[]): { jumps: (number | null)[]; wallSteps: number } {
  const watch = new StampWatch();
  const jumps = readings.map(([at_ms, ahead_ms]) => watch.reading(at_ms, EPOCH + at_ms + ahead_ms));
  return { jumps: jumps.filter((jump) => jump !== null), wallSteps: watch.wallSteps };
}

describe("two clocks", () => {
  it.each<[string, readonly (readonly [number, number])[], number[], number]>([
    [
      "that go together are silent",
      [
        [0, 0],
        [1000, 0],
        [60_000, 0],
      ],
      [],
      0,
    ],
    [
      "that part by less than two seconds across a pause are silent",
      [
        [0, 0],
        [30_000, 1900],
      ],
      [],
      0,
    ],
    [
      "set while readings flow make a note",
      [
        [0, 0],
        [200, 0],
        [400, 3_600_000],
        [600, 3_600_000],
      ],
      [],
      1,
    ],
    [
      "set back while readings flow make a note",
      [
        [0, 0],
        [200, -90_000],
      ],
      [],
      1,
    ],
    [
      "that part across a pause are a jump",
      [
        [0, 0],
        [5000, 40_000],
        [5200, 40_000],
      ],
      [40],
      0,
    ],
    [
      "that part backwards across a pause are a jump too",
      [
        [0, 0],
        [5000, -40_000],
      ],
      [-40],
      0,
    ],
    ["drifting apart slowly over hours are silent", Array.from({ length: 200 }, (_, i) => [60_000 * i, 100 * i] as const), [], 0],
  ])("%s", (_, readings, jumps, wallSteps) => expect(watched(readings)).toEqual({ jumps, wallSteps }));

  it("are compared from the first event, before any reading", () => {
    const watch = new StampWatch();
    watch.event(0, EPOCH);
    expect(watch.reading(100, EPOCH + 100)).toBeNull();
    expect(watch.reading(9000, EPOCH + 19_000)).toBe(10);
  });
});
