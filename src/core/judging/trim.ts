import { GIVEN_BACK, HOSE_S } from "./settling.ts";

/** How the section stands when the settling time has been served, in sizes of charge (positive for vacuum too). */
export interface TrimCase {
  now_Pa: number;
  /** How fast the charge is being lost, Pa/s; negative when it rises. */
  fall_Pa_s: number;
  test_Pa: number;
  /** Half-width of the start band. */
  tolerance_Pa: number;
  /** Time constant of the air. */
  tau_s: number;
  /** Transient that may still come when the clock starts. */
  allowance_Pa: number;
  /** Transient still to come from what was done before, at most. */
  pending_Pa: number;
  /** After this long without a touch the curve itself can show that it has settled. */
  shows_s: number;
  /** Never ask for more than this. */
  charge_Pa: number;
}

/** `wait_s`: how long after the correction the clock may start, which `to_Pa` allows for. */
export type TrimAdvice = { do: "wait" } | { do: "hands-off" } | { do: "pump" | "bleed"; to_Pa: number; wait_s: number };

/** A crew needs some seconds to shut a valve and step back. */
const STEP_BACK_S = 3;
/** Falling into the band by itself within this time beats touching the valve. */
const PATIENCE_S = 40;
/** Real bleeds and strokes take seconds, so part of the heat is gone before they end. */
const REALISTIC_PART = 0.7;

/**
 * What to ask so that the charge passes the test pressure when the clock may start. The commonest answer is to top up
 * to a figure that allows for the leak and for the top-up's own cooling.
 */
export function trimAdvice(now: TrimCase): TrimAdvice {
  const above = now.now_Pa - now.test_Pa;
  if (Math.abs(above) <= now.tolerance_Pa) return { do: "wait" };
  if (above < 0) {
    const to_Pa = Math.min(now.charge_Pa, target(now));
    return { do: "pump", to_Pa, wait_s: waitAfter_s(to_Pa - now.now_Pa, now) };
  }
  const reaches_s = now.fall_Pa_s > 0 ? (above - now.tolerance_Pa) / now.fall_Pa_s : Number.POSITIVE_INFINITY;
  if (reaches_s <= PATIENCE_S) return { do: "hands-off" };
  const to_Pa = target(now);
  return to_Pa < now.now_Pa ? { do: "bleed", to_Pa, wait_s: waitAfter_s(to_Pa - now.now_Pa, now) } : { do: "hands-off" };
}

/** Seconds after a correction of `step_Pa` until the clock may start: by physics, or by what the curve shows, whichever is sooner. */
export function waitAfter_s(step_Pa: number, now: Pick<TrimCase, "tau_s" | "allowance_Pa" | "pending_Pa" | "shows_s">): number {
  const back = GIVEN_BACK * Math.abs(step_Pa) + now.pending_Pa;
  const dying = back > now.allowance_Pa ? 3 * now.tau_s * Math.log(back / now.allowance_Pa) : 0;
  return Math.max(HOSE_S + STEP_BACK_S, Math.min(dying, now.shows_s));
}

/** The figure to pump or bleed to: a little above the test pressure once the leak and the air's own return are through. */
function target(now: TrimCase): number {
  const wanted = now.test_Pa + 0.25 * now.tolerance_Pa;
  const leak_Pa_s = Math.max(0, now.fall_Pa_s);
  let to = wanted;
  // Three rounds bring the figure to well under a gauge step: each round changes it by at most 0.2 of the one before.
  for (let round = 0; round < 3; round++) {
    const step = to - now.now_Pa;
    const wait_s = waitAfter_s(step, now);
    const back = REALISTIC_PART * GIVEN_BACK * step * (1 - Math.exp(-wait_s / now.tau_s));
    to = wanted + back + leak_Pa_s * wait_s;
  }
  return to;
}
