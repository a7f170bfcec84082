import { at } from "../curve.ts";
import { indexFrom, lineAt, median } from "./lineAt.ts";

/** Air put in (+) or let out (−), or a plug's doing: when, and by how much the size of the charge changed. */
export interface Action {
  from_s: number;
  to_s: number;
  step_Pa: number;
}

/** What is needed to see an action: the curve as sizes (barometer taken out when known), thinned to at most two readings a second. */
export interface Watched {
  time_s: readonly number[];
  size_Pa: readonly number[];
  test_Pa: number;
  permittedDrop_Pa: number;
  /** Scatter of one reading, gauge steps included, Pa. */
  sigma_Pa: number;
  resolution_Pa: number;
  interval_s: number;
}

/** A hand pump pauses for breath; strokes closer than this are one charging, s. */
const PUMP_PAUSE_S = 10;
/** Rise is looked at over this long, s. */
const RISE_S = 5;
/** Pumping is told from weather by being at least this part of the charge's own mean rate. */
const PART_OF_CHARGE_RATE = 0.15;

/** A coarse or restless gauge is looked at over as long as the charge took for this many of its steps or scatters. */
const STEPS_IN_A_RISE = 5;
const SCATTERS_IN_A_RISE = 16;

/** Stretches in which the pressure rose as only a pump makes it rise. */
export function pumpings(w: Watched): Action[] {
  const rate = chargeRate(w);
  if (rate === null) return [];
  const n = w.time_s.length;
  const half_s = Math.max(
    RISE_S / 2,
    1.5 * w.interval_s,
    Math.max(STEPS_IN_A_RISE * w.resolution_Pa, SCATTERS_IN_A_RISE * w.sigma_Pa) / rate / 2,
  );
  const least_Pa = Math.max(PART_OF_CHARGE_RATE * rate * 2 * half_s, 8 * w.sigma_Pa, 2.2 * w.resolution_Pa);
  const runs: { from: number; to: number }[] = [];
  let low = 0;
  let high = 0;
  for (let i = 0; i < n; i++) {
    while (low < i && at(w.time_s, i) - at(w.time_s, low) > half_s) low++;
    while (high < n - 1 && at(w.time_s, high + 1) - at(w.time_s, i) <= half_s) high++;
    if (at(w.size_Pa, high) - at(w.size_Pa, low) < least_Pa) continue;
    const last = runs.at(-1);
    if (last && at(w.time_s, low) - at(w.time_s, last.to) <= PUMP_PAUSE_S) last.to = high;
    else runs.push({ from: low, to: high });
  }
  return runs.flatMap((run) => trimmed(w, run, least_Pa));
}

/** Mean rate from a tenth to nine tenths of the test pressure, the first time it is reached, Pa/s. */
function chargeRate({ time_s, size_Pa, test_Pa }: Watched): number | null {
  const top = size_Pa.findIndex((p) => p >= 0.9 * test_Pa);
  if (top < 1) return null;
  let foot = top - 1;
  while (foot > 0 && at(size_Pa, foot) > 0.1 * test_Pa) foot--;
  return (at(size_Pa, top) - at(size_Pa, foot)) / (at(time_s, top) - at(time_s, foot));
}

/** From the lowest reading to the highest one of a run. */
function trimmed({ time_s, size_Pa }: Watched, run: { from: number; to: number }, least_Pa: number): Action[] {
  let top = run.from;
  for (let i = run.from; i <= run.to; i++) if (at(size_Pa, i) > at(size_Pa, top)) top = i;
  let foot = run.from;
  for (let i = run.from; i < top; i++) if (at(size_Pa, i) <= at(size_Pa, foot)) foot = i;
  const step_Pa = at(size_Pa, top) - at(size_Pa, foot);
  return step_Pa < least_Pa ? [] : [{ from_s: at(time_s, foot), to_s: at(time_s, top), step_Pa }];
}

/** Length of the lines on both sides, and half of what is left out between them: at once, and for a change that takes some seconds. */
const LOOKS = [
  { line_s: 8, apart_s: 0 },
  { line_s: 12, apart_s: 4 },
] as const;
/** A loss counts as a step from this part of the permitted drop; a gain, which hides a leak, from a smaller one. */
const STEP_PART = 0.1;
const GAIN_PART = 0.02;

/**
 * Sudden changes in a stretch without pumping: where lines through the readings before and after do not meet. Bending (cooling)
 * makes them miss each other a little; that much is allowed for from the change of slope.
 */
export function stepsIn(w: Watched, from_s: number, to_s: number): Action[] {
  let first = indexFrom(w.time_s, from_s);
  const last = indexFrom(w.time_s, to_s + 1e-9);
  const found: Action[] = [];
  for (let i = first + 3; i < last - 2; i++) {
    const missed = LOOKS.map((l) => missedBy(w, i, first, last, l)).find((m) => m !== null);
    if (!missed) continue;
    const peak = steepest(w, i, last, missed.line_s);
    const step = edges(w, peak, first, last, missed.trend);
    const beyondTrend_Pa = step.step_Pa - missed.trend * (step.to_s - step.from_s);
    const otherWay = Math.sign(beyondTrend_Pa) !== Math.sign(missed.miss_Pa);
    if (otherWay || Math.abs(beyondTrend_Pa) < 0.5 * leastStep_Pa(w, beyondTrend_Pa)) continue;
    if (!isSudden(w, peak, missed.trend, beyondTrend_Pa) || !persists(w, step)) continue;
    found.push(step);
    // No later line may look back across it, or it would be found again.
    first = indexFrom(w.time_s, step.to_s);
    i = Math.max(i, first + 2);
  }
  return found;
}

interface Missed {
  line_s: number;
  miss_Pa: number;
  /** How the pressure moved without the step: the calmer of the two lines, Pa/s. */
  trend: number;
}

const leastStep_Pa = (w: Watched, step_Pa: number): number => (step_Pa > 0 ? GAIN_PART : STEP_PART) * w.permittedDrop_Pa;

function missedBy(w: Watched, i: number, first: number, last: number, look: (typeof LOOKS)[number]): Missed | null {
  const line_s = Math.max(look.line_s, 5 * w.interval_s);
  const moment_s = (at(w.time_s, i - 1) + at(w.time_s, i)) / 2;
  const left = Math.max(first, indexFrom(w.time_s, moment_s - look.apart_s - line_s));
  const leftEnd = Math.max(left, indexFrom(w.time_s, moment_s - look.apart_s));
  const rightBegin = indexFrom(w.time_s, moment_s + look.apart_s);
  const right = Math.min(last, indexFrom(w.time_s, moment_s + look.apart_s + line_s));
  if (leftEnd - left < 3 || right - rightBegin < 2) return null;
  const before = lineAt(w.time_s, w.size_Pa, left, leftEnd, moment_s);
  const after = lineAt(w.time_s, w.size_Pa, rightBegin, right, moment_s);
  if (!before || !after) return null;
  const u = Math.max(w.sigma_Pa, w.resolution_Pa / 2) * Math.sqrt(before.leverage + after.leverage);
  const bend = Math.abs(after.slope - before.slope) * (line_s + 2 * look.apart_s) * 0.5;
  const miss = after.value - before.value;
  if (Math.abs(miss) <= Math.max(leastStep_Pa(w, miss), 6 * u, bend)) return null;
  return { line_s: look.line_s, miss_Pa: miss, trend: Math.abs(before.slope) < Math.abs(after.slope) ? before.slope : after.slope };
}

/** So much of a step falls within this time of its steepest moment; air that cools or a wall that warms takes longer. */
const SUDDEN_PART = 0.3;
const SUDDEN_S = 4;

function isSudden(w: Watched, peak: number, trend: number, beyondTrend_Pa: number): boolean {
  const moment_s = at(w.time_s, peak);
  const from = Math.max(0, Math.min(peak - 1, indexFrom(w.time_s, moment_s - SUDDEN_S)));
  const to = Math.min(w.time_s.length - 1, Math.max(peak, indexFrom(w.time_s, moment_s + SUDDEN_S)));
  const change_Pa = at(w.size_Pa, to) - at(w.size_Pa, from) - trend * (at(w.time_s, to) - at(w.time_s, from));
  return change_Pa / beyondTrend_Pa >= SUDDEN_PART;
}

/** Readings on each side that must bear a step out. */
const BORNE_OUT = 5;

/** A spike that was left in is not a step: the readings after it go back to where those before it were. */
function persists({ time_s, size_Pa }: Watched, step: Action): boolean {
  const from = indexFrom(time_s, step.from_s);
  const to = indexFrom(time_s, step.to_s);
  const before = median(size_Pa.slice(Math.max(0, from - BORNE_OUT + 1), from + 1));
  const after = median(size_Pa.slice(to, to + BORNE_OUT));
  return (after - before) / step.step_Pa > 0.3;
}

/** The largest change between neighbours within reach of a miss. */
function steepest({ time_s, size_Pa }: Watched, i: number, last: number, line_s: number): number {
  let peak = i;
  for (let k = i; k < last && at(time_s, k) - at(time_s, i) <= line_s; k++) {
    if (Math.abs(at(size_Pa, k) - at(size_Pa, k - 1)) > Math.abs(at(size_Pa, peak) - at(size_Pa, peak - 1))) peak = k;
  }
  return peak;
}

/** Grows a step to both sides while the change goes on, the trend taken off, at a tenth of its fastest or more. */
function edges({ time_s, size_Pa }: Watched, peak: number, first: number, last: number, trend: number): Action {
  const rate = (k: number): number => (at(size_Pa, k) - at(size_Pa, k - 1)) / (at(time_s, k) - at(time_s, k - 1)) - trend;
  const fastest = rate(peak);
  let from = peak - 1;
  let to = peak;
  while (from > first && rate(from) / fastest > 0.1) from--;
  while (to < last - 1 && rate(to + 1) / fastest > 0.1) to++;
  return { from_s: at(time_s, from), to_s: at(time_s, to), step_Pa: at(size_Pa, to) - at(size_Pa, from) };
}
