import { at } from "../curve.ts";
import type { Limits } from "../methods/limits.ts";
import { signOf } from "../methods/limits.ts";
import type { Cleaned } from "./clean.ts";
import type { History, Stretch } from "./history.ts";
import type { Settled } from "./holdCase.ts";
import { indexFrom } from "./lineAt.ts";
import { ALLOWED_PART, airTimeConstant_s, boundOfActions } from "./settling.ts";
import type { Coming } from "./settlingFit.ts";
import { between, type Known, meet, ToCome } from "./toCome.ts";

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
  /** The same without the fit: what the slopes and physics allow. */
  unfitted: Coming | null;
}

/** Every reading of every stretch as a moment to start the clock at; the stretches in the order of time. */
export function momentsOf(cleaned: Cleaned, history: History, limits: Limits): Moment[][] {
  let before: Known | null = null;
  return history.stretches.map((stretch) => {
    const moments = momentsIn(cleaned, history, limits, stretch, new ToCome(history, limits, stretch, before));
    const last = moments.findLast((m) => m.coming !== null);
    if (last?.coming) before = { at_s: last.at_s, coming: last.coming };
    return moments;
  });
}

function momentsIn(cleaned: Cleaned, history: History, limits: Limits, stretch: Stretch, toCome: ToCome): Moment[] {
  const { charged_s } = history;
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
    const known = toCome.at(at_s);
    const coming = known?.coming ?? null;
    settled ||= coming !== null && isSettledAt(coming, allowed_Pa, () => boundAt(history, limits, at_s));
    moments.push({
      at_s,
      off_Pa,
      served: charged_s !== null && at_s - charged_s >= limits.settle_s,
      inBand: Math.abs(off_Pa) <= limits.startTolerance_Pa,
      settled,
      coming,
      unfitted: known?.unfitted ?? null,
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

/**
 * A pipe's air does not die down as one exponential (it slows as it settles, the wall lags), so that a large transient is known to a third of
 * it at best. Once settled, what is left is small and lies near the end of the fit.
 */
const MODEL_ERROR = 0.3;

/** How the section stood when a clock was started at one of a stretch's moments. */
export function settledAt({ charge, actions, charged_s }: History, list: readonly Moment[], moment: Moment): Settled {
  const action = [charge, ...actions].findLast((a) => a !== null && a.to_s <= moment.at_s);
  const known = knownAt(moment);
  return {
    charged_s,
    lastAction_s: action?.to_s ?? null,
    served_s: charged_s === null ? null : moment.at_s - charged_s,
    settled_s: list.find((m) => m.settled)?.at_s ?? null,
    coming_Pa: known?.coming_Pa ?? null,
    u_coming_Pa: known?.u_Pa ?? null,
    tooCoarse: false,
  };
}

/** Before it has settled the fit is trusted no further than its model, unless the slopes or physics bound it more closely. */
function knownAt({ coming, settled, unfitted }: Moment): Coming | null {
  if (coming === null || settled || unfitted === null) return coming;
  const doubt_Pa = 1.645 * Math.hypot(coming.u_Pa, MODEL_ERROR * coming.coming_Pa);
  return meet(between(coming.coming_Pa - doubt_Pa, coming.coming_Pa + doubt_Pa), unfitted);
}
