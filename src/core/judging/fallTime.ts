import { at } from "../curve.ts";
import type { Evidence } from "./evidence.ts";
import { indexFrom, lineAt } from "./lineAt.ts";

/** Half a window of the line that smooths a crossing, s. */
const HALF_WINDOW_S = 10;

/**
 * Time the section took to fall by the permitted drop from where the hold started, with its standard uncertainty; `null` when it
 * did not fall that far. The first reading at or below the mark is only where to look: the moment is read off a line round it.
 */
export function timeToFall({ input, hold, drop, sign }: Evidence): { time_s: number; u_time_s: number } | null {
  if (!drop.start || drop.u_drop_Pa === null) return null;
  const { time_s, pressure_Pa } = input.curve;
  const mark_Pa = sign * (drop.start.size_Pa - input.limits.permittedDrop_Pa);
  const last = indexFrom(time_s, hold.to_s + 1e-9);
  let below = 0;
  for (let i = indexFrom(time_s, hold.from_s); i < last; i++) {
    below = sign * (at(pressure_Pa, i) - mark_Pa) <= 0 ? below + 1 : 0;
    if (below < 3 && i < last - 1) continue;
    if (below === 0) return null;
    const near_s = at(time_s, i - below + 1);
    const from = indexFrom(time_s, Math.max(hold.from_s, near_s - HALF_WINDOW_S));
    const fit = lineAt(time_s, pressure_Pa, from, Math.min(last, indexFrom(time_s, near_s + HALF_WINDOW_S)), near_s);
    if (!fit || sign * fit.slope >= 0) return { time_s: near_s - hold.from_s, u_time_s: drop.noise.interval_s };
    return {
      time_s: near_s + (mark_Pa - fit.value) / fit.slope - hold.from_s,
      u_time_s: drop.u_drop_Pa / Math.abs(fit.slope),
    };
  }
  return null;
}
