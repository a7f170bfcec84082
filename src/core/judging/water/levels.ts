import { at, type Curve } from "../../curve.ts";

/** Heads of a few seconds together: water swings in a standpipe. */
const BIN_s = 5;
/** A rise of less than 3 mm of water is swell, not a measure poured in (common practice, no source). */
const LEAST_RISE_Pa = 30;

export interface Level {
  at_s: number;
  head_Pa: number;
}

export interface Rise {
  from_s: number;
  to_s: number;
  rise_Pa: number;
}

/** Means over five seconds between two instants, oldest first; stretches without readings have none. */
export function binned({ time_s, pressure_Pa }: Curve, from_s: number, to_s: number): Level[] {
  const bins: { sum_s: number; sum_Pa: number; n: number; place: number }[] = [];
  for (let i = 0; i < time_s.length; i++) {
    const at_s = at(time_s, i);
    if (at_s < from_s || at_s > to_s) continue;
    const place = Math.floor((at_s - from_s) / BIN_s);
    let bin = bins.at(-1);
    if (bin?.place !== place) {
      bin = { sum_s: 0, sum_Pa: 0, n: 0, place };
      bins.push(bin);
    }
    bin.sum_s += at_s;
    bin.sum_Pa += at(pressure_Pa, i);
    bin.n++;
  }
  return bins.map(({ sum_s, sum_Pa, n }) => ({ at_s: sum_s / n, head_Pa: sum_Pa / n }));
}

/** Mean head about an instant, from both sides so that a fall does not shift it; `null` when nothing was read near it. */
export function headAt(curve: Curve, at_s: number): number | null {
  const near = binned(curve, at_s - BIN_s, at_s + BIN_s);
  return near.length === 0 ? null : near.reduce((sum, { head_Pa }) => sum + head_Pa, 0) / near.length;
}

/** Where the level went up: between a low and the next high, by more than the gauge's steps and the water's swell. */
export function risesIn(levels: readonly Level[], resolution_Pa: number): Rise[] {
  const least_Pa = Math.max(LEAST_RISE_Pa, 4 * resolution_Pa, 6 * swell_Pa(levels));
  const rises: Rise[] = [];
  let low = levels[0];
  let high: Level | null = null;
  for (const level of levels) {
    if (low === undefined) break;
    if (high === null) {
      if (level.head_Pa < low.head_Pa) low = level;
      else if (level.head_Pa - low.head_Pa >= least_Pa) high = level;
    } else if (level.head_Pa > high.head_Pa) high = level;
    // A top is only known to be one once the level has come down from it.
    else if (high.head_Pa - level.head_Pa >= least_Pa / 4) {
      rises.push(between(low, high));
      low = level;
      high = null;
    }
  }
  if (low !== undefined && high !== null) rises.push(between(low, high));
  return rises;
}

const between = (low: Level, high: Level): Rise => ({ from_s: low.at_s, to_s: high.at_s, rise_Pa: high.head_Pa - low.head_Pa });

/** Half the changes from one bin to the next are smaller than this: the level's own unrest, steady fall included. */
function swell_Pa(levels: readonly Level[]): number {
  const changes = levels.slice(1).map((level, i) => Math.abs(level.head_Pa - (levels[i]?.head_Pa ?? level.head_Pa)));
  changes.sort((a, b) => a - b);
  return changes[Math.floor(changes.length / 2)] ?? 0;
}
