import { at } from "../curve.ts";
import { fitLine, widening } from "../judging/line.ts";
import { indexFrom } from "../judging/lineAt.ts";
import type { Window } from "./window.ts";

/** How fast a pressure moves. */
export interface Rate {
  /** Positive when it rises. */
  rate_Pa_s: number;
  /** Standard uncertainty; `null` while nothing is known of it (the gauge has shown the same figure all along). */
  u_Pa_s: number | null;
  /** What it was read from: first to last reading. */
  over_s: number;
}

/** A slow gauge is given the time of this many readings. */
const FEWEST = 5;
/** Older than so many windows is another story. */
const LONGEST_WINDOWS = 6;

/**
 * The slope of the newest `window_s` seconds, `null` with fewer than three readings. `step_Pa` is the gauge's step where it hides
 * the movement (0 else): each end of the line may be half a step off, evenly, which makes √(2/12) step on their difference.
 */
export function rateOf({ time_s, value }: Pick<Window, "time_s" | "value">, window_s: number, step_Pa: number): Rate | null {
  const n = time_s.length;
  if (n < 3) return null;
  const last_s = at(time_s, n - 1);
  const wanted = Math.max(0, Math.min(indexFrom(time_s, last_s - window_s), n - FEWEST));
  const from = Math.max(wanted, indexFrom(time_s, last_s - LONGEST_WINDOWS * window_s));
  const line = fitLine(time_s, value, from, n);
  if (line.n < 3 || line.sumTT <= 0) return null;
  const over_s = last_s - at(time_s, from);
  const fit = (line.sd / Math.sqrt(line.sumTT)) * widening(line.rho);
  const coarse = (step_Pa * Math.sqrt(2 / 12)) / over_s;
  const u = Math.hypot(fit, coarse);
  return { rate_Pa_s: line.slope, u_Pa_s: u > 0 ? u : null, over_s };
}
