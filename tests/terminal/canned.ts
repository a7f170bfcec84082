import type { LiveView, Turn } from "../../src/core/judging/view.ts";
import type { RecordStart, Verdict } from "../../src/core/record.ts";
import type { CurvePoint } from "../../src/terminal/parts/trace.ts";
import { firstState, nextTestState, type TestState } from "../../src/terminal/screens/testState.ts";

/** Made-up people, places and gauge. Figures: EN 1610 method LC, DN 300, dry concrete not applied; DN/t row of 4 min as in the standard's table. */
export const START: RecordStart = {
  id: "20261125-101502-demo",
  started_wall_ms: 1_767_225_600_000,
  source: "gauge",
  section: { id: "S12–S13 Mill Lane", dn_mm: 300, material: "clay", laid_length_m: 45 },
  stage: "laid",
  tester: "A. Sample",
  rule: "simple",
  strict: false,
  limits: {
    method: { id: "en1610-lc", title: "EN 1610 air test, method LC", source: "EN 1610:2015, 13.2" },
    medium: "air",
    stop: "fixed-time",
    direction: "pressure",
    charge_Pa: 11_000,
    settle_s: 300,
    test_Pa: 10_000,
    hold_s: 240,
    permittedDrop_Pa: 1500,
    floor_Pa: null,
    boundary: "less-or-equal",
    startTolerance_Pa: 200,
    top_Pa: 12_100,
    dn_mm: 300,
    material: "clay",
    laid_length_m: 45,
    provenance: "canned",
    working: [],
    cautions: [],
  },
  gauge: {
    url: "serial:///dev/ttyUSB0",
    protocol: "scpi",
    reference: "vented",
    resolution_Pa: 10,
    accuracy_fraction: 0.001,
    accuracy_Pa: null,
  },
  program: "staunch 0.1.0",
  judge_version: 1,
};

/** 778 N and 79 kgf at 11 kPa, 855 N and 87 kgf at 12.1 kPa on DN 300: pressure × π/4 × 0.3², divided by 9.80665 for kgf. */
export const CAUTIONS: readonly string[] = [
  "A plug under pressure can kill. Thrust on each plug, DN 300: 778 N (79 kgf) at charge pressure, 855 N (87 kgf) at top pressure.",
  "Relief valve or regulator on the compressor, set no higher than 121.0 mbar.",
  "Plugs rated for this bore and pressure, clean, inflated as their maker says, and braced.",
  "Nobody in line with a plug or in a chamber while there is pressure in the pipe.",
  "Trench, confined-space and local rules: confirmed by a competent person on site, not by this program.",
];

/** Ten readings a second: pumped up in 60 s, cooling to 400 s, bled to the test pressure, a leak of `leak_Pa` in 240 s from 430 s. */
export function curveUntil(to_s: number, leak_Pa = 620): CurvePoint[] {
  const points: CurvePoint[] = [];
  for (let i = 0; i <= to_s * 10; i++) {
    const at_s = i / 10;
    points.push({ at_s, pressure_Pa: pressureAt(at_s, leak_Pa) });
  }
  return points;
}

function pressureAt(at_s: number, leak_Pa: number): number {
  const wobble = 6 * Math.sin(at_s * 1.7);
  if (at_s < 10) return wobble / 6;
  if (at_s < 60) return 220 * (at_s - 10);
  if (at_s < 400) return 10_400 + 600 * Math.exp(-(at_s - 60) / 60) + wobble;
  if (at_s < 430) return 10_400 - Math.min(370, (at_s - 400) * 60) + wobble;
  if (at_s < 670) return 10_030 - (leak_Pa * (at_s - 430)) / 240 + wobble;
  return Math.max(0, (10_030 - leak_Pa) * Math.exp(-(at_s - 670) / 8)) + wobble / 6;
}

const HEALTH = {
  up: true,
  readings: 4300,
  rate_Hz: 10,
  silent_s: 0.1,
  outages: 0,
  unusedBytes: 0,
  identity: "EXAMPLE INSTRUMENTS,DM1,0007,1.2",
};

const base = (at_s: number): LiveView => ({
  at_s,
  phase: "idle",
  phaseSince_s: 0,
  ask: { act: { act: "wait" }, say: "Wait." },
  pressure_Pa: curveUntil(at_s).at(-1)?.pressure_Pa ?? null,
  pressureAt_s: at_s - 0.1,
  timeLeft_s: null,
  settle: null,
  hold: null,
  gauge: HEALTH,
  alarm: null,
  finished: false,
  verdict: null,
});

export const PASSED: Verdict = {
  schema: "staunch/verdict/1",
  verdict: "pass",
  reasons: [],
  judge: "live",
  judge_version: 1,
  rule: "simple",
  source: "gauge",
  record: START.id,
  program: "staunch 0.1.0",
  method: START.limits.method,
  settled_at_s: 398,
  phases: [],
  hold: {
    from_s: 430,
    to_s: 670,
    required_s: 240,
    start_Pa: 10_030,
    end_Pa: 9410,
    drop_Pa: 620,
    permitted_Pa: 1500,
    floor_Pa: null,
    u_drop_Pa: 6.2,
    time_s: null,
    u_time_s: null,
    probability_conforming: 0.99999,
  },
  leak: { decay_per_min: 0.016, rate_L_min: 4.61, free_air_L_min: 5.07, hole_mm: 1.23 },
  remarks: [
    {
      code: "cooling",
      text: "The air cooled by 0.1 K during the hold, which looks like 39 Pa of loss.",
      figures: { air_K: -0.1, seen_Pa: 39 },
    },
  ],
  readings: 6700,
};

const FAILED: Verdict = {
  ...PASSED,
  verdict: "fail",
  reasons: [
    {
      code: "drop-over-limit",
      text: "The pressure fell by 18.6 mbar, 15.0 mbar are permitted.",
      figures: { drop_Pa: 1860, permitted_Pa: 1500 },
    },
  ],
  hold: { ...PASSED.hold, end_Pa: 8170, drop_Pa: 1860, probability_conforming: 0.00001 },
  leak: { decay_per_min: 0.051, rate_L_min: 14.2, free_air_L_min: 15.6, hole_mm: 2.1 },
  remarks: [],
};

const VOIDED: Verdict = {
  ...PASSED,
  verdict: "void",
  reasons: [
    { code: "topped-up", text: "Air was put in 95 s after the start of the hold (+3.1 mbar).", figures: { at_s: 525, step_Pa: 310 } },
    {
      code: "gauge-not-proven",
      text: "The pipe was never opened while the gauge watched, so nothing shows that the gauge saw the pipe.",
      figures: {},
    },
  ],
  hold: { ...PASSED.hold, probability_conforming: null },
  leak: { decay_per_min: null, rate_L_min: null, free_air_L_min: null, hole_mm: null },
};

const over = (verdict: Verdict): LiveView => ({
  ...base(690),
  phase: "vent",
  phaseSince_s: 670,
  ask: { act: { act: "vent" }, say: "Leave the vent open; make sure by eye or ear that the pipe is empty of pressure." },
  finished: true,
  verdict,
});

const holding = (at_s: number, drop_Pa: number, projected_Pa: number, willFail = false): LiveView => ({
  ...base(at_s),
  phase: "hold",
  phaseSince_s: 430,
  ask: { act: { act: "hands-off" }, say: "Hands off. The clock runs; keep away from plugs and valve." },
  timeLeft_s: 670 - at_s,
  hold: {
    from_s: 430,
    elapsed_s: at_s - 430,
    drop_Pa,
    permitted_Pa: 1500,
    projected_Pa,
    projectedLow_Pa: projected_Pa - 40,
    projectedHigh_Pa: projected_Pa + 40,
    willFail,
  },
});

const settling: LiveView = {
  ...base(180),
  phase: "settle",
  phaseSince_s: 60,
  ask: { act: { act: "wait" }, say: "Leave the valve shut. The air is cooling; this takes 3 minutes more at least." },
  timeLeft_s: 180,
  settle: { minimumLeft_s: 180, coming_Pa: 260, allowance_Pa: 150, late: null },
};

const TURNS: readonly Turn[] = [
  { at_s: 10, code: "charging", text: "Charging began.", bell: "turn" },
  { at_s: 60, code: "charged", text: "Charge pressure reached; settling.", bell: "turn" },
  { at_s: 400, code: "settled", text: "Settled: 9 Pa still to come over the hold.", bell: "ask" },
  { at_s: 430, code: "hold", text: "The hold has begun.", bell: "turn" },
  { at_s: 670, code: "hold-over", text: "The hold is over.", bell: "ask" },
];

/** One state a phase and ending: the view, and how much the pipe lost in the hold. */
export const CANNED: Readonly<Record<string, { view: LiveView; leak_Pa?: number; change?: Partial<RecordStart> }>> = {
  idle: {
    view: {
      ...base(4),
      ask: { act: { act: "pump", to_Pa: 11_000 }, say: "When everybody is clear of the plugs, pump to 110.0 mbar." },
    },
    change: { source: "simulated" },
  },
  charge: {
    view: { ...base(45), phase: "charge", phaseSince_s: 10, ask: { act: { act: "pump", to_Pa: 11_000 }, say: "Pump to 110.0 mbar." } },
  },
  settle: { view: settling },
  "settle-late": {
    view: {
      ...base(395),
      phase: "settle",
      phaseSince_s: 60,
      ask: { act: { act: "wait" }, say: "Leave the valve shut; the air in the pipe is not settled yet." },
      timeLeft_s: 0,
      settle: {
        minimumLeft_s: 0,
        coming_Pa: 260,
        allowance_Pa: 150,
        late: "Settling takes long: sun or wind on the pipe, warm compressor air or a creeping plug. Shade the pipe and check the plugs.",
      },
    },
  },
  trim: {
    view: {
      ...base(403),
      phase: "trim",
      phaseSince_s: 400,
      ask: { act: { act: "bleed", to_Pa: 10_030 }, say: "Crack the valve, bleed to 100.3 mbar, shut it, step back." },
    },
  },
  hold: { view: holding(550, 310, 620) },
  "hold-will-fail": { view: holding(550, 930, 1860, true), leak_Pa: 1860 },
  vent: {
    view: {
      ...base(672),
      phase: "vent",
      phaseSince_s: 670,
      ask: { act: { act: "vent" }, say: "Open the vent at the plug and leave it open." },
    },
  },
  pass: { view: over(PASSED) },
  fail: { view: over(FAILED), leak_Pa: 1860 },
  void: { view: over(VOIDED) },
  inconclusive: {
    view: over({
      ...PASSED,
      verdict: "inconclusive",
      rule: "guarded",
      hold: { ...PASSED.hold, drop_Pa: 1497, end_Pa: 8533, probability_conforming: 0.69 },
    }),
    leak_Pa: 1497,
  },
  alarm: {
    view: {
      ...base(59.9),
      phase: "charge",
      phaseSince_s: 10,
      pressure_Pa: 12_340,
      ask: { act: { act: "bleed", to_Pa: 11_000 }, say: "Stop the pump. Bleed to 110.0 mbar." },
      alarm: "123.4 mbar is above the top pressure of 121.0 mbar",
    },
  },
  silent: {
    view: {
      ...holding(550, 290, 620),
      pressureAt_s: 538,
      gauge: { ...HEALTH, up: false, rate_Hz: 0, silent_s: 12, outages: 1, unusedBytes: 37 },
    },
    change: { source: "pseudo-terminal" },
  },
};

/** The screen's state once the test has come to the canned view. */
export function cannedState(name: string, columns: number, rows: number, colour = false): TestState {
  const canned = CANNED[name];
  if (canned === undefined) throw new RangeError(`no canned state ${name}`);
  const start = { ...START, ...canned.change };
  const verdict = canned.view.verdict === null ? null : { ...canned.view.verdict, source: start.source };
  return nextTestState(firstState({ start, unit: "mbar", cautions: CAUTIONS, columns, rows, colour }, 0), {
    kind: "update",
    now_ms: 0,
    view: { ...canned.view, verdict },
    turns: TURNS.filter((turn) => turn.at_s <= canned.view.at_s),
    points: curveUntil(canned.view.at_s, canned.leak_Pa),
  }).state;
}
