import { describe, expect, it } from "vitest";
import type { HoldCase, Incident, Settled } from "../../../src/core/judging/holdCase.ts";
import { judgeHold } from "../../../src/core/judging/verdict.ts";
import { type CurveWishes, curveOf, gaugeWith, limitsWith } from "../../support/pressureCurve.ts";

const HOLD = { from_s: 400, to_s: 700 };
const READY: Settled = { charged_s: 50, lastAction_s: 360, served_s: 350, settled_s: 380, coming_Pa: 0, u_coming_Pa: 0, tooCoarse: false };

interface Wishes extends Partial<Omit<HoldCase, "settled" | "curve">> {
  /** Drop over the whole hold from `start_Pa`, falling evenly. */
  drop_Pa?: number;
  start_Pa?: number;
  readings?: Partial<CurveWishes>;
  settled?: Partial<Settled>;
}

function judged({ drop_Pa = 100, start_Pa = 1000, readings = {}, settled = {}, ...wishes }: Wishes = {}) {
  return judgeHold({
    curve: curveOf((t) => start_Pa - (drop_Pa * (t - 400)) / 300, { from_s: 370, to_s: 710, noise_Pa: 0.5, resolution_Pa: 1, ...readings }),
    limits: limitsWith(),
    gauge: gaugeWith(),
    rule: "simple",
    hold: HOLD,
    settled: { ...READY, ...settled },
    incidents: [],
    phases: [],
    gaugeProven: null,
    interrupted: null,
    gross: null,
    ...wishes,
  });
}

const codes = (wishes: Wishes): string => {
  const { verdict, reasons } = judged(wishes);
  return [verdict, ...reasons.map((r) => r.code)].join(" ");
};

const gap = (at_s: number, gap_s: number): Incident => ({ kind: "gap", at_s, gap_s });
const over = { drop_Pa: 300 };

describe("a hold without fault", () => {
  it("passes inside the limit and fails outside it, with its figures", () => {
    const { verdict, hold, leak } = judged();
    expect(verdict).toBe("pass");
    expect(hold).toMatchObject({ from_s: 400, to_s: 700, required_s: 300, permitted_Pa: 250, floor_Pa: null, time_s: null });
    expect(hold.drop_Pa).toBeCloseTo(100, 0);
    expect(hold.probability_conforming).toBe(1);
    expect(leak.decay_per_min).toBeCloseTo(Math.log(1000 / 900) / 5, 3);
    expect(codes(over)).toBe("fail drop-over-limit");
  });

  it("is left open by the guarded rule within its uncertainty, and says what the simple one would", () => {
    const near = judged({ drop_Pa: 250, rule: "guarded" });
    expect(near.verdict).toBe("inconclusive");
    expect(near.remarks.map((r) => r.code)).toContain("borderline");
  });

  it("judges a vacuum by sizes and tells its pressures negative", () => {
    const vacuum = limitsWith({ direction: "vacuum", test_Pa: -1000, charge_Pa: -1100 });
    const curve = curveOf((t) => -1000 + (t - 400) / 3, { from_s: 370, to_s: 710 });
    const { verdict, hold } = judgeHold({ ...caseOf(vacuum), curve });
    expect(verdict).toBe("pass");
    expect(hold.start_Pa).toBeCloseTo(-1000, 0);
    expect(hold.drop_Pa).toBeCloseTo(100, 0);
  });

  it("worded as a floor compares what is left, whatever the start", () => {
    const floor = limitsWith({ floor_Pa: 750, permittedDrop_Pa: 250 });
    expect(codes({ limits: floor, drop_Pa: 240 })).toBe("pass");
    expect(codes({ limits: floor, drop_Pa: 260 })).toBe("fail below-floor");
    expect(codes({ limits: floor, drop_Pa: 255, start_Pa: 1010 })).toBe("pass");
  });
});

const caseOf = (limits: HoldCase["limits"]): HoldCase => ({
  curve: curveOf(() => 1000, { from_s: 370, to_s: 710 }),
  limits,
  gauge: gaugeWith(),
  rule: "simple",
  hold: HOLD,
  settled: READY,
  incidents: [],
  phases: [],
  gaugeProven: null,
  interrupted: null,
  gross: null,
});

describe("what voids, and what it leaves standing", () => {
  it.each<[string, Wishes, string, string]>([
    ["topped up", { incidents: [{ kind: "topped-up", at_s: 500, step_Pa: 40 }] }, "void topped-up", "void topped-up"],
    ["a plug's step", { incidents: [{ kind: "step", at_s: 500, step_Pa: -40 }] }, "void sudden-step", "void sudden-step"],
    ["a collapse", { incidents: [{ kind: "collapse", at_s: 500, step_Pa: -400 }] }, "void sudden-loss", "void sudden-loss"],
    ["a clock step", { incidents: [{ kind: "clock-step", at_s: 500, step_s: 60 }] }, "void clock-stepped", "void clock-stepped"],
    ["a unit change", { incidents: [{ kind: "unit-change", at_s: 500, factor: 0.01 }] }, "void unit-changed", "void unit-changed"],
    [
      "incidents outside the hold",
      { incidents: [{ kind: "topped-up", at_s: 350, step_Pa: 40 }, gap(100, 80)] },
      "pass",
      "fail drop-over-limit",
    ],
    ["a tenth of silence", { incidents: [gap(500, 29)] }, "pass", "fail drop-over-limit"],
    ["more silence than a tenth", { incidents: [gap(500, 40)] }, "void gauge-silent", "fail drop-over-limit"],
    ["a low start", { start_Pa: 970 }, "void start-out-of-tolerance", "fail drop-over-limit"],
    ["a high start", { start_Pa: 1040 }, "pass", "fail drop-over-limit"],
    ["a start at the edge of the band", { start_Pa: 981 }, "pass", "fail drop-over-limit"],
    ["settling cut short", { settled: { served_s: 200 } }, "void settle-too-short", "fail drop-over-limit"],
    ["cooling still to come", { settled: { settled_s: null, coming_Pa: 45, u_coming_Pa: 3 } }, "pass", "void not-settled"],
    ["rebound that cannot hide a fail", { settled: { settled_s: null, coming_Pa: -45, u_coming_Pa: 3 } }, "pass", "fail drop-over-limit"],
    ["an unknown transient", { settled: { settled_s: null, coming_Pa: null, u_coming_Pa: null } }, "pass", "void not-settled"],
    ["a coarse gauge, time served", { settled: { settled_s: null, tooCoarse: true } }, "pass", "fail drop-over-limit"],
    ["a gauge not proven", { gaugeProven: false }, "void gauge-not-proven", "fail drop-over-limit"],
    ["a gauge proven", { gaugeProven: true }, "pass", "fail drop-over-limit"],
    ["broken off after the hold", { interrupted: "the line was lost" }, "pass", "fail drop-over-limit"],
  ])("%s", (_, wishes, whenPassing, whenFailing) => {
    expect(codes(wishes)).toBe(whenPassing);
    expect(codes({ ...over, ...wishes })).toBe(whenFailing);
  });

  it("rebound after a bleed that could hide a fail voids a pass", () => {
    expect(codes({ drop_Pa: 230, settled: { settled_s: null, coming_Pa: -45, u_coming_Pa: 3 } })).toBe("void not-settled");
  });

  it("a high start voids a fail that it could explain", () => {
    expect(codes({ drop_Pa: 255, start_Pa: 1040 })).toBe("void start-out-of-tolerance");
  });

  it("a fail that the tolerated transient may have made is void under the simple rule, left open under the guarded one", () => {
    const settled = { coming_Pa: 18, u_coming_Pa: 2 };
    expect(codes({ drop_Pa: 260, settled })).toBe("void not-settled");
    expect(codes({ drop_Pa: 260, settled, rule: "guarded" })).toBe("inconclusive not-settled");
    expect(codes({ drop_Pa: 275, settled })).toBe("fail drop-over-limit");
  });

  it("a fail far over the limit stands in spite of an unsettled start", () => {
    expect(codes({ drop_Pa: 500, settled: { settled_s: null, coming_Pa: 45, u_coming_Pa: 3 } })).toBe("fail drop-over-limit");
  });

  it("a boundary without readings leaves nothing to judge", () => {
    expect(codes({ incidents: [gap(680, 30)], readings: { to_s: 680 } })).toBe("void gauge-silent");
    expect(codes({ readings: { from_s: 370, to_s: 372 } })).toBe("void bad-readings");
  });
});

describe("a hold cut short", () => {
  const cut = { from_s: 400, to_s: 550 };

  it("proves no pass, however small the drop", () => {
    expect(codes({ drop_Pa: 0, hold: cut })).toBe("void hold-too-short");
    expect(codes({ drop_Pa: 0, hold: cut, interrupted: "the battery was flat" })).toBe("void interrupted hold-too-short");
  });

  it("proves a fail once the drop has passed the limit beyond doubt", () => {
    expect(codes({ drop_Pa: 520, hold: cut })).toBe("fail drop-over-limit");
    expect(codes({ drop_Pa: 500, hold: cut })).toBe("void hold-too-short");
  });

  it("by less than a reading is not short", () => {
    expect(codes({ hold: { from_s: 400, to_s: 699.2 } })).toBe("pass");
  });
});

describe("weather", () => {
  const cooling = { readings: { air_C: (t: number) => 15 - (0.3 * (t - 400)) / 300 } };
  const warming = { readings: { air_C: (t: number) => 15 + (0.3 * (t - 400)) / 300 } };
  const rising = { readings: { ambient_Pa: (t: number) => 101_325 + (100 * (t - 400)) / 300 } };
  const falling = { readings: { ambient_Pa: (t: number) => 101_325 - (100 * (t - 400)) / 300 } };

  it("that decides voids: cooling and a rising barometer a fail, warming and a falling one a pass", () => {
    expect(codes({ ...over, ...cooling })).toBe("void drift-decides-temperature");
    expect(codes({ drop_Pa: 200, ...warming })).toBe("void drift-decides-temperature");
    expect(codes({ ...over, ...rising })).toBe("void drift-decides-barometer");
    expect(codes({ drop_Pa: 200, ...falling })).toBe("void drift-decides-barometer");
  });

  it("that does not decide is a remark with figures and leaves the result, which it never turns round", () => {
    const { verdict, remarks } = judged({ drop_Pa: 100, ...cooling });
    expect(verdict).toBe("pass");
    expect(remarks.find((r) => r.code === "cooling")?.figures["share_Pa"]).toBeCloseTo(107, -1);
    expect(codes({ drop_Pa: 400, ...cooling })).toBe("fail drop-over-limit");
  });
});

describe("no hold at all", () => {
  it("says why", () => {
    expect(codes({ hold: null, settled: { charged_s: null } })).toBe("void not-charged");
    expect(codes({ hold: null })).toBe("void hold-too-short");
    expect(codes({ hold: null, interrupted: "stopped by the user" })).toBe("void interrupted");
  });

  it("is a fail when even the smallest drop the curve allows is over the limit", () => {
    expect(codes({ hold: null, gross: { smallestDrop_Pa: 600 } })).toBe("fail gross-leak");
    expect(codes({ hold: null, gross: { smallestDrop_Pa: 200 } })).toBe("void hold-too-short");
  });
});

describe("every reason", () => {
  it("is one sentence with figures in the method's own unit", () => {
    const water = limitsWith({ test_Pa: 980.665, permittedDrop_Pa: 245.16625 });
    const { reasons } = judged({ limits: water, start_Pa: 980.665, drop_Pa: 294.1995, readings: { noise_Pa: 0, resolution_Pa: 0 } });
    expect(reasons[0]?.text).toBe("30 mmH2O was lost, 25 mmH2O is permitted.");
    expect(reasons[0]?.figures["drop_Pa"]).toBeCloseTo(294.2, 1);
  });
});
