import { describe, expect, it } from "vitest";
import { judgeHold } from "../../../src/core/judging/verdict.ts";
import { type CurveWishes, curveOf, gaugeWith, limitsWith } from "../../support/pressureCurve.ts";

/** Over a hold of 300 s. */
function flowOf(pressure_Pa: (t: number) => number, readings: Partial<CurveWishes> = {}, coming_Pa = 0) {
  return judgeHold({
    curve: curveOf((t) => pressure_Pa(t - 100), { to_s: 410, from_s: 70, noise_Pa: 0.5, resolution_Pa: 0.5, ...readings }),
    limits: limitsWith(),
    gauge: gaugeWith({ resolution_Pa: 0.5 }),
    rule: "simple",
    hold: { from_s: 100, to_s: 400 },
    settled: { charged_s: 0, lastAction_s: 60, served_s: 300, settled_s: 90, coming_Pa, u_coming_Pa: 0.3, tooCoarse: false },
    incidents: [],
    phases: [],
    gaugeProven: null,
    interrupted: null,
    gross: null,
  }).leak.flow;
}

// Closed forms: p0 exp(-K t), and (sqrt p0 - B t/2)^2, both from 1000 to 600 Pa.
const crack = (t: number): number => 1000 * 0.6 ** (t / 300);
const hole = (t: number): number => (Math.sqrt(1000) - ((Math.sqrt(1000) - Math.sqrt(600)) * t) / 300) ** 2;

describe("crack or hole", () => {
  it.each([1, 2, 3, 4, 5, 6, 7, 8])("is told by the bend of a large loss (seed %d)", (seed) => {
    expect(flowOf(crack, { seed })).toBe("laminar");
    expect(flowOf(hole, { seed })).toBe("orifice");
  });

  it("cannot be told where wind, a small loss, or a transient still to come could bend as much", () => {
    expect(flowOf(crack, { noise_Pa: 30 })).toBeUndefined();
    expect(flowOf((t) => 1000 * 0.97 ** (t / 300))).toBeUndefined();
    expect(flowOf(crack, {}, 90)).toBeUndefined();
  });

  it("is neither where the fall is straighter than a hole's or steeper than a crack's", () => {
    expect(flowOf((t) => 1000 - (4 * t) / 3)).toBeUndefined();
    expect(flowOf((t) => 1000 - 400 * (1 - Math.exp(-t / 80)))).toBeUndefined();
  });

  it("is not told where the measured weather made much of the loss", () => {
    expect(flowOf(crack, { air_C: (t) => 15 - t / 600 })).toBeUndefined();
  });
});
