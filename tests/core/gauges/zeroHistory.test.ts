import { describe, expect, it } from "vitest";
import { driftInTests, type KeptZero, usualDrift } from "../../../src/core/gauges/zeroHistory.ts";

const hour_ms = 3_600_000;
const zeros = (...list: [hours: number, zero_Pa: number][]) => list.map(([hours, zero_Pa]) => ({ wall_ms: hours * hour_ms, zero_Pa }));

describe("the usual drift of a zero", () => {
  it("is the median change between neighbours, in whatever order they come", () => {
    expect(usualDrift(zeros([0, 0], [1, 2], [2, 1], [3, 5]))).toBe(2);
    expect(usualDrift(zeros([3, 5], [2, 1], [1, 2], [0, 0]))).toBe(2);
  });

  it("does not count nights, nor is it made by one press of the zero key", () => {
    expect(usualDrift(zeros([0, 0], [1, 1], [2, 2], [12, 90], [13, 91]))).toBe(1);
    expect(usualDrift(zeros([0, 80], [1, 0], [2, 1], [3, 2]))).toBe(1);
  });

  it("is unknown with fewer than three changes", () => {
    expect(usualDrift(zeros([0, 0], [1, 2], [2, 1]))).toBeNull();
    expect(usualDrift([])).toBeNull();
  });
});

describe("the drift within a test", () => {
  const zero = (record: string | null, moment: KeptZero["moment"], zero_Pa: number): KeptZero => ({ record, moment, zero_Pa });

  it("is the largest change from before to after, in whatever order they come", () => {
    const zeros = [zero("b", "after", -4), zero("b", "before", 1), zero("a", "before", 0), zero("a", "after", 3)];
    expect(driftInTests(zeros)).toBe(5);
  });

  it("is unknown where no test has both", () => {
    expect(driftInTests([zero("a", "before", 0), zero("b", "after", 3), zero(null, "before", 0), zero(null, "after", 9)])).toBeNull();
  });
});
