import { describe, expect, it } from "vitest";
import type { HoldCase } from "../../../src/core/judging/holdCase.ts";
import { judgeHold } from "../../../src/core/judging/verdict.ts";
import { type CurveWishes, curveOf, gaugeWith, limitsWith } from "../../support/pressureCurve.ts";

function remarks(pressure_Pa: (t: number) => number, readings: Partial<CurveWishes> = {}, wishes: Partial<HoldCase> = {}) {
  return judgeHold({
    curve: curveOf(pressure_Pa, { to_s: 420, noise_Pa: 0.5, resolution_Pa: 0.1, air_C: () => 15, ambient_Pa: () => 101_325, ...readings }),
    limits: limitsWith(),
    gauge: gaugeWith({ resolution_Pa: readings.resolution_Pa ?? 0.1 }),
    rule: "simple",
    hold: { from_s: 100, to_s: 400 },
    settled: { charged_s: 0, lastAction_s: 60, served_s: 300, settled_s: 90, coming_Pa: 0, u_coming_Pa: 0, tooCoarse: false },
    incidents: [],
    phases: [],
    gaugeProven: null,
    interrupted: null,
    gross: null,
    ...wishes,
  }).remarks;
}

const codes = (...args: Parameters<typeof remarks>): string[] => remarks(...args).map((r) => r.code);
const leaking = (t: number): number => 1000 - 0.4 * (t - 100);

describe("remarks", () => {
  it("are none for an ordinary test", () => {
    expect(codes(leaking)).toEqual([]);
  });

  it("name weather that was measured, with its share", () => {
    expect(codes(leaking, { air_C: (t) => 15 + (t - 100) / 1500 })).toEqual(["warming"]);
    expect(codes(leaking, { air_C: (t) => 15 - (t - 100) / 1500 })).toEqual(["cooling"]);
    expect(codes(leaking, { ambient_Pa: (t) => 101_325 + (t - 100) / 5 })).toEqual(["barometer-rising"]);
    const [fell] = remarks(leaking, { ambient_Pa: (t) => 101_325 - (t - 100) / 5 });
    expect(fell?.code).toBe("barometer-falling");
    expect(fell?.text).toContain("0.60 hPa");
    expect(fell?.figures["share_Pa"]).toBeCloseTo(-60, 0);
  });

  it("say that no temperature was measured where a fraction of a kelvin matters", () => {
    const { air_C: _, ...without } = { air_C: null };
    expect(codes(leaking, { ...without, air_C: () => Number.NaN })).toEqual(["no-temperature"]);
  });

  it("see wind, a rising curve and a reading that never moves", () => {
    expect(codes(leaking, { noise_Pa: 8 })).toContain("wind");
    expect(codes((t) => 1000 + 0.1 * (t - 100))).toEqual(["rising-curve"]);
    expect(codes(() => 1000, { noise_Pa: 0 })).toEqual(["too-good"]);
  });

  it("call a gauge too coarse from a tenth of the permitted drop", () => {
    expect(codes(leaking, { resolution_Pa: 50 })).toContain("gauge-too-coarse");
    expect(codes(leaking, { resolution_Pa: 5, noise_Pa: 5 })).not.toContain("gauge-too-coarse");
  });

  it("tell a zero offset seen before the charge", () => {
    const found = remarks(
      (t) => 89 + (t < 30 ? 0 : leaking(t)),
      {},
      { phases: [{ phase: "idle", from_s: 0, to_s: 30 }], limits: limitsWith({ test_Pa: 1089 }) },
    );
    expect(found.map((r) => r.code)).toEqual(["zero-offset"]);
    expect(found[0]?.figures["zero_Pa"]).toBeCloseTo(89, 0);
  });

  it("count what cleaning found, and gaps", () => {
    const notes = { duplicates: 3, outOfOrder: 7, spikes: [{ at_s: 150, pressure_Pa: 5 }] };
    const found = remarks(leaking, {}, { notes, incidents: [{ kind: "gap", at_s: 200, gap_s: 20 }] });
    expect(found.map((r) => r.code)).toEqual(["gap", "out-of-order", "spikes"]);
    expect(found.map((r) => r.figures)).toEqual([{ gaps: 1, longest_s: 20 }, { out_of_order: 7, duplicates: 3 }, { spikes: 1 }]);
  });

  it("own up to a start that was high or still settling", () => {
    expect(codes((t) => leaking(t) + 60)).toEqual(["high-start"]);
    const settled = { charged_s: 0, lastAction_s: 60, served_s: 300, settled_s: null, coming_Pa: 40, u_coming_Pa: 2, tooCoarse: false };
    expect(codes(leaking, {}, { settled })).toEqual(["unsettled-start"]);
  });

  it("warn of a short section, where 5 mm of plug are half the limit (−P x/l)", () => {
    expect(codes(leaking, {}, { limits: limitsWith({ laid_length_m: 4 }) })).toEqual(["short-section"]);
    expect(codes(leaking, {}, { limits: limitsWith({ laid_length_m: 5 }) })).toEqual([]);
  });
});
