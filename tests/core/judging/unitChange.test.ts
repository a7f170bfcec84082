import { describe, expect, it } from "vitest";
import { unitChangesIn } from "../../../src/core/judging/unitChange.ts";
import { curveOf } from "../../support/pressureCurve.ts";

const found = (pressure_Pa: (t: number) => number) => {
  const { time_s, pressure_Pa: p } = curveOf(pressure_Pa, { to_s: 200 });
  return unitChangesIn(time_s, p, 0.1);
};
const leaking = (t: number): number => 9500 - 3 * t;

describe("a change of unit", () => {
  // Exact ratios: mbar = 100 Pa, conventional mm of water = 9.80665 Pa, kPa to mbar 10.
  it.each([1 / 100, 1 / 9.80665, 10])("by %f is seen where it happened", (factor) => {
    expect(found((t) => leaking(t) * (t >= 80 ? factor : 1))).toEqual([
      { kind: "unit-change", at_s: 80, factor: expect.closeTo(factor, 6) },
    ]);
  });

  it("is not a release, a slipped plug, a pump or a top-up", () => {
    expect(found((t) => (t < 100 ? leaking(t) : 9200 * 0.3 ** (t - 99)))).toEqual([]);
    expect(found((t) => (t < 100 ? leaking(t) : 700))).toEqual([]);
    expect(found((t) => Math.min(9000, 300 * t))).toEqual([]);
    expect(found((t) => (t < 100 ? leaking(t) : leaking(t) + 800))).toEqual([]);
  });
});
