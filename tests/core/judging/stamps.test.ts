import { describe, expect, it } from "vitest";
import { gapsIn, intervalOf, straighten } from "../../../src/core/judging/stamps.ts";

const seconds = (n: number): number[] => Array.from({ length: n }, (_, i) => i);
const leaking = (stamps: readonly number[], rate: number): number[] => stamps.map((_, i) => 1000 - rate * i);

describe("stamps", () => {
  it("in order stay as they are", () => {
    const stamps = seconds(50);
    const found = straighten(stamps, leaking(stamps, 1));
    expect(Array.from(found.time_s)).toEqual(stamps);
    expect(found.steps).toEqual([]);
    expect(found.outOfOrder).toBe(0);
  });

  it("of a late reading or a late block are out of order, not a clock step", () => {
    const late = [...seconds(50).filter((t) => t !== 20), 20, ...seconds(60).slice(50)];
    const block = [...seconds(20), ...seconds(60).slice(30), ...seconds(30).slice(20), ...seconds(80).slice(60)];
    for (const stamps of [late, block]) {
      const found = straighten(stamps, leaking(stamps, 0));
      expect(found.steps).toEqual([]);
      expect(found.outOfOrder).toBeGreaterThan(0);
      expect(Array.from(found.time_s)).toEqual(stamps);
    }
  });

  it("that jump back into time already filled and go on are a clock step, taken out", () => {
    const stamps = [...seconds(100), ...seconds(160).slice(60)];
    const found = straighten(stamps, leaking(stamps, 1));
    expect(found.steps).toEqual([{ kind: "clock-step", at_s: 99, step_s: -40 }]);
    expect(Array.from(found.time_s)).toEqual(seconds(200));
  });

  it("that jump forward while the pressure goes on are a clock step; with the pressure fallen on they are silence", () => {
    const stamps = [...seconds(100), ...seconds(100).map((t) => t + 700)];
    const goesOn = leaking(stamps, 1);
    const fellOn = stamps.map((t) => 1000 - t);
    expect(straighten(stamps, goesOn).steps).toEqual([{ kind: "clock-step", at_s: 99, step_s: 600 }]);
    expect(straighten(stamps, fellOn).steps).toEqual([]);
  });

  it("over a tight pipe tell silence from a step only by the whole hour of a clock put right", () => {
    const tight = (jump: number) =>
      straighten([...seconds(100), ...seconds(100).map((t) => t + 99 + jump)], new Float64Array(200).fill(1000)).steps;
    expect(tight(600)).toEqual([]);
    expect(tight(3601)).toHaveLength(1);
  });

  it("know their interval and the stretches without a reading", () => {
    expect(intervalOf([0, 0.5, 1, 1.5, 30, 30.5])).toBe(0.5);
    expect(gapsIn([0, 1, 2, 30, 31], 1)).toEqual([{ kind: "gap", at_s: 2, gap_s: 28 }]);
  });
});
