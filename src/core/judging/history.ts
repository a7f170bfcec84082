import { at } from "../curve.ts";
import { type Limits, signOf } from "../methods/limits.ts";
import type { PhaseSpan } from "../record.ts";
import { type Action, pumpings, stepsIn, type Watched } from "./actions.ts";
import type { Cleaned } from "./clean.ts";
import type { Incident } from "./holdCase.ts";
import { indexFrom, median } from "./lineAt.ts";
import { ALLOWED_PART, HOSE_S } from "./settling.ts";

/** A stretch of closed pipe between two things that were done or happened to it. */
export interface Stretch {
  from_s: number;
  to_s: number;
}

/** What the crew did, read off a finished recording. */
export interface History {
  charge: Action | null;
  /** Strokes after the charge, bleeds and steps, in time order. */
  actions: Action[];
  /** First moment the pressure reached the charge band. */
  charged_s: number | null;
  /** Where the pipe was opened at the end, or the last reading. */
  release_s: number;
  released: boolean;
  collapse: Incident | null;
  /** Between charge, actions and release; the newest last. */
  stretches: Stretch[];
  watched: Watched;
}

/** The curve as watched, and what the gauge itself showed: opening a pipe ends at zero whatever the barometer did. */
interface Seen extends Watched {
  shown_Pa: readonly number[];
}

/** What is left of the test pressure when a pipe has been opened. */
const EMPTY_PART = 0.1;
/** A plug that slips lets go of most of the pressure faster than a valve: this part within this time. */
const BURST_PART = 0.8;
const BURST_S = 1.5;
/** Pressure that comes back in a pipe that was opened: it is still shut, so something slipped and seated again. */
const COMES_BACK_PART = 0.02;

export function historyOf(cleaned: Cleaned, limits: Limits): History {
  const watched = watchedOf(cleaned, limits);
  const { time_s } = watched;
  const end_s = time_s.at(-1) ?? 0;
  const everyPumping = pumpings(watched);
  const everyFall = everyPumping.flatMap((p, i) => [
    ...openedAtOnce(watched, p),
    ...stepsIn(watched, p.to_s + HOSE_S, everyPumping[i + 1]?.from_s ?? end_s),
  ]);
  const pumped = lastAttempt(watched, everyPumping, everyFall);
  const charge = pumped[0] ?? null;
  const falls = charge === null ? [] : everyFall.filter((f) => f.from_s > charge.to_s);
  const emptied = falls.find((f) => isEmptied(watched, f)) ?? slowRelease(watched, pumped.at(-1)?.to_s ?? end_s);
  const release_s = emptied?.from_s ?? end_s;
  const actions = [...pumped.slice(1), ...falls].filter((a) => a.from_s < release_s).sort((a, b) => a.from_s - b.from_s);
  return {
    charge,
    actions,
    charged_s: charge && chargedAt(watched, limits, charge),
    release_s,
    released: emptied !== undefined,
    collapse: emptied && isBurst(watched, emptied) ? { kind: "collapse", at_s: emptied.from_s, step_Pa: emptied.step_Pa } : null,
    stretches: charge === null ? [] : stretchesOf([charge, ...actions], release_s),
    watched,
  };
}

/** The curve as sizes, the measured barometer's slow movement taken out, thinned to at most two readings a second. */
function watchedOf(cleaned: Cleaned, limits: Limits): Seen {
  const { curve, interval_s, resolution_Pa } = cleaned;
  const sign = signOf(limits);
  const barometer = curve.ambient_Pa && smoothed(curve.time_s, curve.ambient_Pa);
  const width = Math.max(1, Math.round(0.5 / interval_s));
  const time_s: number[] = [];
  const size_Pa: number[] = [];
  const shown_Pa: number[] = [];
  for (let i = 0; i < curve.time_s.length; i += width) {
    const end = Math.min(curve.time_s.length, i + width);
    let t = 0;
    let shown = 0;
    let weather = 0;
    for (let k = i; k < end; k++) {
      t += at(curve.time_s, k);
      shown += sign * at(curve.pressure_Pa, k);
      weather += barometer ? sign * (at(barometer, k) - at(barometer, 0)) : 0;
    }
    time_s.push(t / (end - i));
    size_Pa.push((shown + weather) / (end - i));
    shown_Pa.push(shown / (end - i));
  }
  return {
    time_s,
    size_Pa,
    shown_Pa,
    test_Pa: Math.abs(limits.test_Pa),
    permittedDrop_Pa: limits.permittedDrop_Pa,
    sigma_Pa: scatterOf(size_Pa),
    resolution_Pa,
    interval_s: interval_s * width,
  };
}

/** Median of the second differences, as the standard deviation of one reading: trends and steps do not count. */
function scatterOf(size_Pa: readonly number[]): number {
  const second = size_Pa.slice(2).map((p, i) => Math.abs(p - 2 * at(size_Pa, i + 1) + at(size_Pa, i)));
  return second.length > 0 ? (1.4826 * median(second)) / Math.sqrt(6) : 0;
}

/** Mean over ± 10 s, gaps in the column bridged by the last value. */
export function smoothed(time_s: Float64Array, column: Float64Array): Float64Array {
  const filled = Float64Array.from(column);
  let known = filled.find(Number.isFinite) ?? 0;
  for (let i = 0; i < filled.length; i++) {
    if (Number.isFinite(at(filled, i))) known = at(filled, i);
    else filled[i] = known;
  }
  let low = 0;
  let high = 0;
  let sum = 0;
  return filled.map((_, i) => {
    while (high < filled.length && at(time_s, high) <= at(time_s, i) + 10) sum += at(filled, high++);
    while (at(time_s, low) < at(time_s, i) - 10) sum -= at(filled, low++);
    return sum / (high - low);
  });
}

/** A recording may hold several attempts, each ended by opening the pipe; the last one that reached the test pressure counts. */
function lastAttempt(w: Seen, pumped: readonly Action[], falls: readonly Action[]): Action[] {
  const attempts: Action[][] = [];
  let opened_s = Number.NEGATIVE_INFINITY;
  for (const p of pumped) {
    const opened = falls.some((f) => f.from_s > opened_s && f.from_s < p.from_s && isEmptied(w, f));
    if (attempts.length === 0 || opened) attempts.push([]);
    if (opened) opened_s = p.from_s;
    attempts.at(-1)?.push(p);
  }
  const reached = (p: Action): boolean => at(w.shown_Pa, indexFrom(w.time_s, p.to_s)) >= 0.9 * w.test_Pa;
  return attempts.findLast((attempt) => attempt.some(reached)) ?? attempts.at(-1) ?? [];
}

/** No leak that a pump could charge against empties a pipe within this time of the last stroke, s; common practice, no source. */
const AT_ONCE_S = 20;

/** A pipe opened, or a plug blown out, in the very seconds after the pump. */
function openedAtOnce({ time_s, shown_Pa, test_Pa }: Seen, pumping: Action): Action[] {
  const from = indexFrom(time_s, pumping.to_s);
  for (let i = from; i < time_s.length && at(time_s, i) <= pumping.to_s + AT_ONCE_S; i++) {
    if (at(shown_Pa, i) < EMPTY_PART * test_Pa)
      return [{ from_s: pumping.to_s, to_s: at(time_s, i), step_Pa: at(shown_Pa, i) - at(shown_Pa, from) }];
  }
  return [];
}

/** The rate of fall, relative to what is left, of a pipe being opened is this many times the one before. */
const OPENED_TIMES = 4;
/** And at least this part of the test pressure a second. */
const OPENED_RATE = 0.003;

/** A large pipe empties without a step; what tells it is a fall that suddenly quickens and goes on until nothing is left. */
function slowRelease({ time_s, shown_Pa: size_Pa, test_Pa }: Seen, after_s: number): Action | undefined {
  const last = size_Pa.length - 1;
  if (last < 0 || at(size_Pa, last) > EMPTY_PART * test_Pa) return undefined;
  for (let i = indexFrom(time_s, after_s + 30); i < last; i++) {
    const before = Math.max(0, indexFrom(time_s, at(time_s, i) - 20));
    const later = Math.min(last, indexFrom(time_s, at(time_s, i) + 10));
    const now_Pa = at(size_Pa, i);
    if (now_Pa < EMPTY_PART * test_Pa) return undefined;
    const rate = (now_Pa - at(size_Pa, later)) / (at(time_s, later) - at(time_s, i));
    const earlier = (at(size_Pa, before) - now_Pa) / (at(time_s, i) - at(time_s, before));
    if (rate < OPENED_RATE * test_Pa || rate < OPENED_TIMES * Math.max(earlier, 0)) continue;
    const begin = quickens(time_s, size_Pa, i, Math.max(earlier, 0), OPENED_PART * test_Pa);
    return { from_s: at(time_s, begin), to_s: at(time_s, last), step_Pa: at(size_Pa, last) - at(size_Pa, begin) };
  }
  return undefined;
}

/** Below the trend by this part of the test pressure the fall has begun. */
const OPENED_PART = 0.01;

/** The look ahead sees a fall before it begins: the last reading that still follows the trend from reading `i`. */
function quickens(time_s: readonly number[], size_Pa: readonly number[], i: number, rate: number, apart_Pa: number): number {
  let k = i;
  while (k < size_Pa.length - 1 && at(size_Pa, k + 1) > at(size_Pa, i) - rate * (at(time_s, k + 1) - at(time_s, i)) - apart_Pa) k++;
  return k;
}

/** From here to the end of the recording, or to the next charge, nothing is left. */
function isEmptied({ time_s, shown_Pa: size_Pa, test_Pa }: Seen, fall: Action): boolean {
  if (fall.step_Pa >= 0) return false;
  const before = at(size_Pa, indexFrom(time_s, fall.from_s));
  const after = median(size_Pa.slice(indexFrom(time_s, fall.to_s), indexFrom(time_s, fall.to_s + 10) + 1));
  return after < Math.min(EMPTY_PART * test_Pa, 0.5 * before) || before + fall.step_Pa < EMPTY_PART * test_Pa;
}

function isBurst({ time_s, shown_Pa: size_Pa, test_Pa }: Seen, fall: Action): boolean {
  const from = indexFrom(time_s, fall.from_s);
  const to = indexFrom(time_s, fall.to_s);
  const lowest = Math.min(...size_Pa.slice(to, to + 4));
  const later = Math.max(...size_Pa.slice(to, indexFrom(time_s, fall.to_s + 60)));
  if (later - lowest > COMES_BACK_PART * test_Pa) return true;
  for (let i = from; i < to; i++) {
    const soon = indexFrom(time_s, at(time_s, i) + BURST_S + 1e-6) - 1;
    if (soon > i && at(size_Pa, i) - at(size_Pa, Math.min(soon, to)) > BURST_PART * -fall.step_Pa) return true;
  }
  return false;
}

/** Nine tenths of the way from test to charge pressure is "about" the charge pressure; never below the start band. */
function chargedAt({ time_s, shown_Pa: size_Pa }: Seen, limits: Limits, charge: Action): number | null {
  const test_Pa = Math.abs(limits.test_Pa);
  const band_Pa = Math.max(test_Pa - limits.startTolerance_Pa, Math.min(0.95 * Math.abs(limits.charge_Pa), test_Pa));
  for (let i = indexFrom(time_s, charge.from_s); i < time_s.length; i++) if (at(size_Pa, i) >= band_Pa) return at(time_s, i);
  return null;
}

function stretchesOf(actions: readonly Action[], release_s: number): Stretch[] {
  return actions.flatMap((action, i) => {
    const to_s = actions[i + 1]?.from_s ?? release_s;
    return to_s > action.to_s ? [{ from_s: action.to_s, to_s }] : [];
  });
}

/** Charging, settling and topping up as spans for people; the hold is laid over them. */
export function phasesOf(history: History, hold: { from_s: number; to_s: number } | null, end_s: number): PhaseSpan[] {
  const { charge, actions, release_s, released } = history;
  if (charge === null) return end_s > 0 ? [{ phase: "idle", from_s: 0, to_s: end_s }] : [];
  const spans: PhaseSpan[] = [{ phase: "idle", from_s: 0, to_s: charge.from_s }];
  spans.push({ phase: "charge", from_s: charge.from_s, to_s: charge.to_s });
  let now_s = charge.to_s;
  const until_s = hold?.from_s ?? release_s;
  for (const a of actions.filter((a) => a.to_s <= until_s)) {
    if (a.from_s > now_s) spans.push({ phase: "settle", from_s: now_s, to_s: a.from_s });
    spans.push({ phase: "trim", from_s: Math.max(now_s, a.from_s), to_s: a.to_s });
    now_s = a.to_s;
  }
  if (until_s > now_s) spans.push({ phase: "settle", from_s: now_s, to_s: until_s });
  if (hold) spans.push({ phase: "hold", from_s: hold.from_s, to_s: hold.to_s });
  if (hold && release_s > hold.to_s) spans.push({ phase: "idle", from_s: hold.to_s, to_s: release_s });
  if (released && end_s > release_s) spans.push({ phase: "vent", from_s: release_s, to_s: end_s });
  return spans.filter((s) => s.to_s > s.from_s);
}

/** A step or stroke is an incident when it falls into the hold; small ones are weather. */
export function incidentsOf({ actions, charge, collapse, watched }: History): Incident[] {
  const strokes = actions.filter((a) => a !== charge && Math.abs(a.step_Pa) >= 0.5 * ALLOWED_PART * watched.permittedDrop_Pa);
  const found = strokes.map(({ from_s, step_Pa }): Incident => ({ kind: step_Pa > 0 ? "topped-up" : "step", at_s: from_s, step_Pa }));
  return collapse ? [...found, collapse] : found;
}
