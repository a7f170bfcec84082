import { at } from "../curve.ts";
import type { Limits } from "../methods/limits.ts";
import { signOf } from "../methods/limits.ts";
import type { Cleaned } from "./clean.ts";
import type { History, Stretch } from "./history.ts";
import { indexFrom } from "./lineAt.ts";
import { ALLOWED_PART, airTimeConstant_s, boundOfActions, HOSE_S } from "./settling.ts";
import { type Coming, fitSettling, type SettlingFit } from "./settlingFit.ts";

/** A moment at which the clock could have been started. */
export interface Moment {
  at_s: number;
  /** Above (+) or below the test pressure, over some seconds. */
  off_Pa: number;
  /** The method's settling time had run. */
  served: boolean;
  inBand: boolean;
  /** By then, or before, the transient still to come was below the allowance. */
  settled: boolean;
  coming: Coming | null;
}

/** Every reading of a stretch as a moment to start the clock at. */
export function momentsOf(cleaned: Cleaned, history: History, limits: Limits, stretch: Stretch): Moment[] {
  const { watched, charged_s } = history;
  const quiet_s = stretch.from_s + HOSE_S;
  const fit = fitOf(cleaned, watched, limits, { from_s: quiet_s, to_s: stretch.to_s });
  const allowed_Pa = ALLOWED_PART * limits.permittedDrop_Pa;
  const test_Pa = Math.abs(limits.test_Pa);
  const sign = signOf(limits);
  const { time_s, pressure_Pa } = cleaned.curve;
  const half_s = Math.max(3, 3 * cleaned.interval_s);
  const moments: Moment[] = [];
  let settled = false;
  let low = indexFrom(time_s, stretch.from_s);
  let high = low;
  let sum = 0;
  for (let i = low; i < time_s.length && at(time_s, i) <= stretch.to_s; i++) {
    const at_s = at(time_s, i);
    while (high < time_s.length && at(time_s, high) <= Math.min(stretch.to_s, at_s + half_s)) sum += at(pressure_Pa, high++);
    while (at(time_s, low) < at_s - half_s) sum -= at(pressure_Pa, low++);
    const off_Pa = (sign * sum) / (high - low) - test_Pa;
    const coming = fit && at_s >= quiet_s ? fit.comingAt(at_s, limits.hold_s) : null;
    settled ||= coming !== null && isSettledAt(coming, allowed_Pa, () => boundAt(history, limits, at_s));
    moments.push({
      at_s,
      off_Pa,
      served: charged_s !== null && at_s - charged_s >= limits.settle_s,
      inBand: Math.abs(off_Pa) <= limits.startTolerance_Pa,
      settled,
      coming,
    });
  }
  return moments;
}

/**
 * Settled when the transient still to come is surely below the allowance. A gauge too coarse or a wind too strong to show that leaves the
 * best estimate, which then has to agree with what the air of such a bore can still give back after these actions.
 */
function isSettledAt(coming: Coming, allowed_Pa: number, bound: () => number): boolean {
  if (Math.max(coming.high_Pa, -coming.low_Pa) <= allowed_Pa) return true;
  const tooCoarse = 1.645 * coming.u_Pa > allowed_Pa / 3;
  return tooCoarse && Math.abs(coming.coming_Pa) <= allowed_Pa && bound() <= allowed_Pa;
}

/** The guess of the air's time constant is good to ± 60 %. */
const GUESS_SPREAD = 1.6;

function boundAt({ charge, actions }: History, limits: Limits, at_s: number): number {
  const before = [charge, ...actions].filter((a) => a !== null).filter((a) => a.to_s <= at_s);
  const { adds_Pa, hides_Pa } = boundOfActions(before, at_s, GUESS_SPREAD * airTimeConstant_s(limits.dn_mm));
  return Math.max(adds_Pa, hides_Pa);
}

/** A warm wall gives its heat up this many times as slowly as the air; longer than 250 s is weather. Working guesses, no source. */
const WALL_TIMES = 5;
const LONGEST_S = 250;

function fitOf(cleaned: Cleaned, watched: History["watched"], limits: Limits, stretch: Stretch): SettlingFit | null {
  return fitSettling({
    time_s: watched.time_s,
    size_Pa: watched.size_Pa,
    ...stretch,
    test_Pa: watched.test_Pa,
    longest_s: Math.min(LONGEST_S, WALL_TIMES * airTimeConstant_s(limits.dn_mm)),
    resolution_Pa: cleaned.resolution_Pa,
  });
}
