import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import type { Curve } from "../../../src/core/curve.ts";
import type { HoldCase, Incident, Settled } from "../../../src/core/judging/holdCase.ts";
import { judgeHold } from "../../../src/core/judging/verdict.ts";
import type { PhaseSpan, Verdict } from "../../../src/core/record.ts";
import { type CurveWishes, curveOf, gaugeWith, limitsWith } from "../../support/pressureCurve.ts";

/** Every code a verdict on an air test can carry, as the type says it. */
const RECORD = readFileSync(new URL("../../../src/core/record.ts", import.meta.url), "utf8");

function codesOf(type: string): string[] {
  const text = RECORD.slice(RECORD.indexOf(`export type ${type} =`));
  return [...text.slice(0, text.indexOf(";")).matchAll(/\| "([a-z-]+)"|= "([a-z-]+)"/g)].map((m) => m[1] ?? m[2] ?? "");
}

const HOLD = { from_s: 400, to_s: 700 };
const READY: Settled = { charged_s: 50, lastAction_s: 360, served_s: 350, settled_s: 380, coming_Pa: 0, u_coming_Pa: 0, tooCoarse: false };
const IDLE: PhaseSpan = { phase: "idle", from_s: 0, to_s: 40 };
const VENT: PhaseSpan = { phase: "vent", from_s: 710, to_s: 780 };

interface Wishes extends Partial<Omit<HoldCase, "settled" | "curve">> {
  drop_Pa?: number;
  start_Pa?: number;
  /** In place of an even fall. */
  pressure_Pa?: (t: number) => number;
  readings?: Partial<CurveWishes>;
  /** In place of one made from the wishes above. */
  curve?: Curve;
  settled?: Partial<Settled>;
}

function judged({ drop_Pa = 100, start_Pa = 1000, pressure_Pa, curve, readings = {}, settled = {}, ...wishes }: Wishes) {
  const fall = (t: number): number => start_Pa - (drop_Pa * (t - 400)) / 300;
  return judgeHold({
    curve: curve ?? curveOf(pressure_Pa ?? fall, { from_s: 370, to_s: 710, noise_Pa: 0.5, resolution_Pa: 1, ...readings }),
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

/** From nothing through the hold to the opened pipe, the gauge's zero wandering by `wander_Pa` on the way. */
const whole = (drop_Pa: number, wander_Pa: number) => ({
  pressure_Pa: (t: number) => (t < 40 || t > 710 ? 0 : 1000 - (drop_Pa * (t - 400)) / 300) + (wander_Pa * t) / 780,
  readings: { from_s: 0, to_s: 780, noise_Pa: 0.3, resolution_Pa: 0.1 },
  gauge: gaugeWith({ resolution_Pa: 0.1 }),
  phases: [IDLE, VENT],
});

const air = (perHold_K: number): Partial<CurveWishes> => ({ air_C: (t) => 15 + (perHold_K * (t - 400)) / 300 });
const ambient = (perHold_Pa: number): Partial<CurveWishes> => ({ ambient_Pa: (t) => 101_325 + (perHold_Pa * (t - 400)) / 300 });
const during = (incident: Incident): Wishes => ({ incidents: [incident] });
const ground = (groundwater_Pa: number): Wishes => ({ limits: limitsWith({ groundwater_Pa }) });
const over = { drop_Pa: 300 };
const notes = { duplicates: 2, outOfOrder: 1, spikes: [{ at_s: 500, pressure_Pa: 3 }] };

/** Code → a case that must carry it. Water's own code has its tests with the water judge. */
const VOIDS: Record<string, Wishes> = {
  "not-charged": { hold: null, settled: { charged_s: null } },
  "not-settled": { ...over, settled: { settled_s: null, coming_Pa: 45, u_coming_Pa: 3 } },
  "settle-too-short": { settled: { served_s: 200 } },
  "start-out-of-tolerance": { start_Pa: 970 },
  "topped-up": during({ kind: "topped-up", at_s: 500, step_Pa: 40 }),
  "sudden-loss": during({ kind: "collapse", at_s: 500, step_Pa: -400 }),
  "sudden-step": during({ kind: "step", at_s: 500, step_Pa: -40 }),
  "gauge-silent": during({ kind: "gap", at_s: 500, gap_s: 40 }),
  "clock-stepped": during({ kind: "clock-step", at_s: 500, step_s: 60 }),
  "hold-too-short": { hold: { from_s: 400, to_s: 550 } },
  "unit-changed": during({ kind: "unit-change", at_s: 500, factor: 0.01 }),
  "drift-decides-temperature": { drop_Pa: 200, readings: air(0.3) },
  "drift-decides-barometer": { drop_Pa: 260, readings: ambient(50) },
  "zero-drift-decides": whole(245, -20),
  "groundwater-decides": ground(500),
  "gauge-not-proven": { gaugeProven: false },
  interrupted: { hold: { from_s: 400, to_s: 550 }, interrupted: "stopped by hand." },
  "bad-readings": { readings: { from_s: 370, to_s: 372 } },
};

const FAILS: Record<string, Wishes> = {
  "drop-over-limit": over,
  "below-floor": { drop_Pa: 260, limits: limitsWith({ floor_Pa: 750 }) },
  "gross-leak": { hold: null, gross: { smallestDrop_Pa: 600 } },
};

const REMARKS: Record<string, Wishes> = {
  cooling: { readings: air(-0.2) },
  warming: { readings: air(0.2) },
  "barometer-rising": { readings: ambient(60) },
  "barometer-falling": { readings: ambient(-60) },
  wind: { readings: { noise_Pa: 9 } },
  "rising-curve": { drop_Pa: -30 },
  borderline: { drop_Pa: 250 },
  "gauge-too-coarse": { readings: { resolution_Pa: 50 }, gauge: gaugeWith({ resolution_Pa: 50 }) },
  "zero-offset": {
    ...whole(100, 0),
    pressure_Pa: (t) => 30 + whole(100, 0).pressure_Pa(t),
    limits: limitsWith({ test_Pa: 1030 }),
  },
  gap: during({ kind: "gap", at_s: 500, gap_s: 20 }),
  "out-of-order": { notes },
  spikes: { notes },
  "no-temperature": {},
  "no-barometer": { readings: air(0) },
  "too-good": { drop_Pa: 0, readings: { noise_Pa: 0 } },
  "volume-implausible": {
    // 0.24 m³ by the plan; a vent of 1 cm² empties it in a second or two, and here it takes twenty.
    pressure_Pa: (t) => (t <= 710 ? 1000 - (100 * (t - 400)) / 300 : Math.max(0, Math.sqrt(896) - 1.5 * (t - 710)) ** 2),
    readings: { to_s: 780 },
    phases: [VENT],
    gauge: gaugeWith({ ventArea_m2: 1e-4 }),
  },
  "high-start": { start_Pa: 1040 },
  "unsettled-start": { settled: { settled_s: null, coming_Pa: 30, u_coming_Pa: 2 } },
  groundwater: ground(300),
  "short-section": { limits: limitsWith({ laid_length_m: 3 }) },
};

const isSaid = ({ text, figures }: Verdict["reasons"][number] | Verdict["remarks"][number]): boolean =>
  /^[A-Z0-9±].*[.]$/.test(text) && Object.values(figures).every((f) => f === null || Number.isFinite(f));

/** They tell of an absence and have no figure to show. */
const WITHOUT_FIGURES = ["not-charged", "gauge-not-proven", "bad-readings"];

describe("every reason a verdict can give", () => {
  it("has a case here", () => {
    const water = ["level-out-of-band"];
    expect(Object.keys(VOIDS).sort()).toEqual(
      codesOf("VoidCode")
        .filter((c) => !water.includes(c))
        .sort(),
    );
    expect(Object.keys(FAILS).sort()).toEqual(codesOf("FailCode").sort());
    // Those about a gauge on file have their tests with the file: tests/core/gauges/remarks.test.ts.
    const onFile = ["other-gauge", "gauge-unfit", "calibration-out-of-date"];
    expect([...Object.keys(REMARKS), ...onFile].sort()).toEqual(codesOf("RemarkCode").sort());
  });

  it.each(Object.entries(VOIDS))("void: %s", (code, wishes) => {
    const { verdict, reasons } = judged(wishes);
    expect([verdict, ...reasons.map((r) => r.code)]).toContain(code);
    expect(verdict).toBe("void");
    const said = reasons.find((r) => r.code === code);
    expect(said && isSaid(said)).toBe(true);
    if (!WITHOUT_FIGURES.includes(code)) expect(Object.keys(said?.figures ?? {})).not.toEqual([]);
  });

  it.each(Object.entries(FAILS))("fail: %s", (code, wishes) => {
    const { verdict, reasons } = judged(wishes);
    expect([verdict, ...reasons.map((r) => r.code)]).toEqual(["fail", code]);
    expect(reasons.every(isSaid)).toBe(true);
    expect(Object.keys(reasons[0]?.figures ?? {})).not.toEqual([]);
  });

  it.each(Object.entries(REMARKS))("remark: %s", (code, wishes) => {
    const { remarks } = judged(wishes);
    expect(remarks.map((r) => r.code)).toContain(code);
    const said = remarks.find((r) => r.code === code);
    expect(said && isSaid(said)).toBe(true);
    expect(Object.keys(said?.figures ?? {})).not.toEqual([]);
  });
});

describe("groundwater", () => {
  it("voids a pass from half the test pressure on, never a fail, and is a remark below", () => {
    expect(judged(ground(499)).verdict).toBe("pass");
    expect(judged(ground(500)).verdict).toBe("void");
    expect(judged({ ...over, ...ground(500) }).verdict).toBe("fail");
    expect(judged(ground(0)).remarks.map((r) => r.code)).not.toContain("groundwater");
    // (p0 - pw)/p0 of a laminar leak is left.
    expect(judged(ground(300)).remarks.find((r) => r.code === "groundwater")?.figures["left_part"]).toBeCloseTo(0.7, 9);
  });
});

describe("weather that was not measured", () => {
  it("is told by what it would have to be: the margin over P/T, over the wet slope (465 Pa/K at 1 kPa and 15 °C), and as hPa", () => {
    const figures = judged({ drop_Pa: 100 }).remarks.find((r) => r.code === "no-temperature")?.figures ?? {};
    expect(figures["kelvin_to_turn"]).toBeCloseTo(150 / 355, 2);
    expect(figures["kelvin_to_turn_wet"]).toBeCloseTo(150 / 465, 2);
    expect(figures["barometer_to_turn_hPa"]).toBeCloseTo(-1.5, 1);
    const failing = judged({ drop_Pa: 320 }).remarks.find((r) => r.code === "no-temperature");
    expect(failing?.figures["kelvin_to_turn"]).toBeCloseTo(-70 / 355, 2);
    expect(failing?.text).toContain("would explain this fail");
  });

  it("has nothing to say of the barometer to an absolute gauge", () => {
    const said = judged({ gauge: gaugeWith({ reference: "absolute" }) }).remarks.find((r) => r.code === "no-temperature");
    expect(said?.figures["barometer_to_turn_hPa"]).toBeUndefined();
    expect(judged({ gauge: gaugeWith({ reference: "absolute" }), readings: air(0) }).remarks.map((r) => r.code)).not.toContain(
      "no-barometer",
    );
  });

  it("measured warming decides by what it is in a wet bore; a bore told dry by less", () => {
    // 0.25 K: 89 Pa dry, 116 Pa wet, of a margin of 100 Pa.
    const hidden = { drop_Pa: 150, readings: air(0.25) };
    expect(judged(hidden).verdict).toBe("void");
    expect(judged({ ...hidden, limits: limitsWith({ material: "dry-concrete" }) }).verdict).toBe("pass");
  });
});

describe("an absolute gauge", () => {
  const absolute = gaugeWith({ reference: "absolute", resolution_Pa: 0.1 });
  /** Opened, it shows what the barometer did since its zero was stored. */
  const wandering = { ...whole(245, -20), gauge: absolute };

  it("is not said to have wandered for what the barometer did, measured or not", () => {
    const readings = { ...wandering.readings, ambient_Pa: (t: number) => 101_325 - (20 * t) / 780 };
    expect(judged({ ...wandering, readings }).verdict).toBe("fail");
    expect(judged(wandering).verdict).toBe("fail");
  });

  it("is said to have its zero from another atmosphere", () => {
    const readings = { ...wandering.readings, ambient_Pa: (t: number) => 101_325 + t / 10 };
    const said = judged({ ...wandering, readings }).remarks.find((r) => r.code === "zero-offset");
    expect(said?.figures["ambient_since_zero_Pa"]).toBeCloseTo(40, 0);
  });
});

describe("suspicion", () => {
  it("falls on readings smoother than the gauge's steps, on a slow line and on a line that loses readings", () => {
    const smooth = judged({ readings: { noise_Pa: 0, resolution_Pa: 0 }, gauge: gaugeWith({ resolution_Pa: 5 }) });
    expect(smooth.remarks.find((r) => r.code === "too-good")?.figures["resolution_Pa"]).toBe(5);
    const slow = judged({ readings: { interval_s: 6 } });
    expect(slow.remarks.find((r) => r.code === "gauge-too-coarse")?.figures).toEqual({ interval_s: 6, allowed_s: 5 });
    const full = curveOf((t) => 1000 - (t - 400) / 3, { from_s: 370, to_s: 710, noise_Pa: 0.5, resolution_Pa: 1 });
    const keep = (_: number, i: number): boolean => i % 7 !== 3 && i % 7 !== 5;
    const lossy = { ...full, time_s: full.time_s.filter(keep), pressure_Pa: full.pressure_Pa.filter(keep) };
    const said = judged({ curve: lossy }).remarks.find((r) => r.code === "gap");
    expect(said?.figures["promised"]).toBe(301);
  });
});
