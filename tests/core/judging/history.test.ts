import { describe, expect, it } from "vitest";
import { cleanCurve } from "../../../src/core/judging/clean.ts";
import { historyOf, incidentsOf } from "../../../src/core/judging/history.ts";
import { phasesOf } from "../../../src/core/judging/spans.ts";
import { type CurveWishes, curveOf, limitsWith, wholeTest } from "../../support/pressureCurve.ts";

const limits = limitsWith();
const test = wholeTest({ limits, leak: 0.6, topUpTo_Pa: 1150, openAfter_s: 450 });
const history = (pressure_Pa = test.pressure_Pa, wishes: Partial<CurveWishes> = {}) =>
  historyOf(cleanCurve(curveOf(pressure_Pa, { to_s: test.end_s, noise_Pa: 0.7, resolution_Pa: 1, ...wishes }), 1), limits);

describe("what the crew did", () => {
  it("is charge at 10 s, top-up at 350 s, release at 800 s", () => {
    const found = history();
    expect(Math.round((found.charge?.from_s ?? 0) / 5)).toBe(2);
    expect(found.charge?.to_s).toBe(40);
    expect(found.actions).toHaveLength(1);
    expect(found.actions[0]?.to_s).toBe(358);
    expect(Math.abs(found.release_s - 800)).toBeLessThanOrEqual(1);
    expect(found.released).toBe(true);
    expect(found.collapse).toBeNull();
    expect(found.stretches.map((s) => Math.round(s.from_s))).toEqual([40, 358]);
    expect(found.charged_s).toBeGreaterThan(34);
    expect(found.charged_s).toBeLessThan(40);
  });

  it("is the same in a vacuum", () => {
    const vacuum = limitsWith({ direction: "vacuum", test_Pa: -1000, charge_Pa: -1100 });
    const curve = curveOf((t) => -test.pressure_Pa(t), { to_s: test.end_s, noise_Pa: 0.7, resolution_Pa: 1 });
    const found = historyOf(cleanCurve(curve, 1), vacuum);
    expect(found.actions).toHaveLength(1);
    expect(Math.abs(found.release_s - 800)).toBeLessThanOrEqual(1);
  });

  it("is not told by a barometer that falls by 2 hPa, when it was measured", () => {
    const fallen = (t: number): number => (t < 500 ? 0 : Math.min(200, t - 500));
    const found = history((t) => test.pressure_Pa(t) + (t > 800 ? 0 : fallen(t)), { ambient_Pa: (t) => 101_325 - fallen(t) });
    expect(found.actions).toHaveLength(1);
    expect(Math.abs(found.release_s - 800)).toBeLessThanOrEqual(1);
  });

  it("of several attempts is the last that reached the test pressure", () => {
    const twice = (t: number): number => (t < 820 ? test.pressure_Pa(t) : test.pressure_Pa(t - 820));
    expect(history(twice, { to_s: 1640 }).charge?.to_s).toBe(860);
    const given_up = (t: number): number => (t < 820 ? test.pressure_Pa(t) : 0.5 * test.pressure_Pa(t - 820));
    expect(history(given_up, { to_s: 1640 }).charge?.to_s).toBe(40);
  });

  it("puts steps and a collapse among the incidents", () => {
    const slipped = history((t) => (t < 600 ? test.pressure_Pa(t) : t < 601 ? 500 : 15 + 60 * (1 - Math.exp((601 - t) / 30))));
    expect(incidentsOf(slipped).map((i) => i.kind)).toEqual(["topped-up", "collapse"]);
    const stepped = history((t) => Math.max(0, test.pressure_Pa(t) - (t > 600 ? 60 : 0)));
    expect(incidentsOf(stepped).map((i) => i.kind)).toEqual(["topped-up", "step"]);
  });

  it("knows nothing of a curve without a charge", () => {
    const found = history(() => 0);
    expect(found).toMatchObject({ charge: null, actions: [], stretches: [], charged_s: null, released: false });
    expect(phasesOf(found, null, 820)).toEqual([{ phase: "idle", from_s: 0, to_s: 820 }]);
  });
});
