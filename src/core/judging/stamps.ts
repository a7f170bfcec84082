import { at } from "../curve.ts";
import type { Incident } from "./holdCase.ts";
import { lineAt, median } from "./lineAt.ts";

/** Stamps in arrival order put right, and what was wrong with them. */
export interface Stamps {
  /** One per reading, in arrival order, with the clock's own steps taken out, s. */
  time_s: Float64Array;
  steps: Extract<Incident, { kind: "clock-step" }>[];
  outOfOrder: number;
  interval_s: number;
}

/** Readings looked at after a jump to tell a late reading from a clock that goes on from elsewhere. */
const AHEAD = 6;

/** Usual time between readings: median of the forward differences. */
export function intervalOf(stamp_s: ArrayLike<number>): number {
  const forward: number[] = [];
  for (let i = 1; i < stamp_s.length; i++) {
    const d = at(stamp_s, i) - at(stamp_s, i - 1);
    if (d > 0) forward.push(d);
  }
  return forward.length > 0 ? median(forward) : 1;
}

/**
 * A single late reading is out of order. A clock step goes on from where it jumped to: back into time already filled, or forward
 * while the pressure goes on as if no time had passed.
 */
export function straighten(stamp_s: ArrayLike<number>, pressure_Pa: ArrayLike<number>): Stamps {
  const interval_s = intervalOf(stamp_s);
  const time_s = new Float64Array(stamp_s.length);
  const steps: Stamps["steps"] = [];
  let offset_s = 0;
  let latest_s = Number.NEGATIVE_INFINITY;
  let outOfOrder = 0;
  for (let i = 0; i < stamp_s.length; i++) {
    const jump_s = at(stamp_s, i) + offset_s - latest_s;
    if (i > 0 && isClockStep({ stamp_s, pressure_Pa, time_s, i, jump_s, interval_s, offset_s })) {
      steps.push({ kind: "clock-step", at_s: latest_s, step_s: jump_s - interval_s });
      offset_s -= jump_s - interval_s;
    }
    time_s[i] = at(stamp_s, i) + offset_s;
    if (at(time_s, i) < latest_s) outOfOrder++;
    latest_s = Math.max(latest_s, at(time_s, i));
  }
  return { time_s, steps, outOfOrder, interval_s };
}

interface Jump {
  stamp_s: ArrayLike<number>;
  pressure_Pa: ArrayLike<number>;
  /** Put right so far: readings before `i`. */
  time_s: Float64Array;
  i: number;
  jump_s: number;
  interval_s: number;
  offset_s: number;
}

function isClockStep(jump: Jump): boolean {
  const far_s = Math.max(2, 3 * jump.interval_s);
  if (jump.jump_s < -far_s) return goesOn(jump) && isFilled(jump);
  return jump.jump_s > Math.max(10, 10 * jump.interval_s) && goesOn(jump) && pressureGoesOn(jump);
}

/** The next readings follow the jumped one at the usual pace. */
function goesOn({ stamp_s, i, interval_s }: Jump): boolean {
  const last = Math.min(stamp_s.length - 1, i + AHEAD);
  if (last - i < 3) return false;
  for (let k = i + 1; k <= last; k++) {
    const since_s = at(stamp_s, k) - at(stamp_s, i);
    if (since_s < -2 * interval_s || since_s > 2 * (k - i + 1) * interval_s) return false;
  }
  return true;
}

/** The time jumped back to already has its readings; a late block would fill a hole instead. */
function isFilled({ stamp_s, time_s, i, interval_s, offset_s }: Jump): boolean {
  const from_s = at(stamp_s, i) + offset_s - interval_s / 2;
  const to_s = from_s + AHEAD * interval_s;
  let there = 0;
  for (let k = i - 1; k >= 0 && k > i - 20_000 && there < AHEAD / 2; k--) {
    const t = at(time_s, k);
    if (t >= from_s && t <= to_s) there++;
  }
  return there >= AHEAD / 2;
}

/** Readings on each side that tell how the pressure was falling. */
const TREND = 20;

/**
 * Forward: silence or a clock step? In silence the pressure goes on falling. It is a step when the pressure went on as over one
 * interval, and silence would have moved it by clearly more than the readings scatter; whole hours are a clock put right.
 */
function pressureGoesOn({ stamp_s, pressure_Pa, i, jump_s, interval_s }: Jump): boolean {
  const before = lineAt(stamp_s, pressure_Pa, Math.max(0, i - TREND), i, at(stamp_s, i - 1));
  const after = lineAt(stamp_s, pressure_Pa, i, Math.min(stamp_s.length, i + TREND), at(stamp_s, i));
  if (!before || !after) return false;
  const scatter = (fit: { sse: number; n: number; leverage: number }): number =>
    Math.sqrt((fit.sse / Math.max(1, fit.n - 2)) * fit.leverage);
  const u_Pa = Math.hypot(scatter(before), scatter(after));
  const moved_Pa = after.value - before.value;
  const overInterval_Pa = ((before.slope + after.slope) / 2) * interval_s;
  if (Math.abs(moved_Pa - overInterval_Pa) > Math.max(5 * u_Pa, Math.abs(overInterval_Pa))) return false;
  const wholeHours = Math.abs(jump_s / 3600 - Math.round(jump_s / 3600)) * 3600 < 2 + 2 * interval_s && jump_s > 1800;
  const sameWay = before.slope * after.slope > 0;
  const inSilence_Pa = sameWay ? Math.min(Math.abs(before.slope), Math.abs(after.slope)) * jump_s : 0;
  return wholeHours || inSilence_Pa > 3 * Math.max(5 * u_Pa, Math.abs(overInterval_Pa));
}

/** Stretches without a reading, longer than five intervals and 5 s, in readings that are in order. */
export function gapsIn(time_s: ArrayLike<number>, interval_s: number): Extract<Incident, { kind: "gap" }>[] {
  const found: Extract<Incident, { kind: "gap" }>[] = [];
  for (let i = 1; i < time_s.length; i++) {
    const gap_s = at(time_s, i) - at(time_s, i - 1);
    if (gap_s > Math.max(5, 5 * interval_s)) found.push({ kind: "gap", at_s: at(time_s, i - 1), gap_s });
  }
  return found;
}
