import { at, type Curve } from "../../curve.ts";
import { indexFrom, lineAt } from "../lineAt.ts";

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
  let sum_Pa = 0;
  let n = 0;
  for (let i = indexFrom(curve.time_s, at_s - BIN_s); i < curve.time_s.length && at(curve.time_s, i) <= at_s + BIN_s; i++) {
    sum_Pa += at(curve.pressure_Pa, i);
    n++;
  }
  return n === 0 ? null : sum_Pa / n;
}

/** The fall before and after a top-up is followed this far, s. */
const TREND_s = 60;

/**
 * Water put in at each rise, as a height: from the trend before it to the trend after it, at its middle. So what leaks away while the
 * measure is poured counts too, and the corners that means over seconds round off do not make it less.
 */
export function putIn(curve: Curve, rises: readonly Rise[]): Rise[] {
  return rises.map((rise, i) => {
    const from_s = Math.max(rise.from_s - TREND_s, (rises[i - 1]?.to_s ?? Number.NEGATIVE_INFINITY) + BIN_s);
    const to_s = Math.min(rise.to_s + TREND_s, (rises[i + 1]?.from_s ?? Number.POSITIVE_INFINITY) - BIN_s);
    const middle_s = (rise.from_s + rise.to_s) / 2;
    const before = trend(curve, from_s, rise.from_s - BIN_s, middle_s);
    const after = trend(curve, rise.to_s + BIN_s, to_s, middle_s);
    const rise_Pa = before === null || after === null ? span_Pa(curve, rise) : after - before;
    return { ...rise, rise_Pa: Math.max(rise.rise_Pa, rise_Pa) };
  });
}

function trend({ time_s, pressure_Pa }: Curve, from_s: number, to_s: number, moment_s: number): number | null {
  const first = indexFrom(time_s, from_s);
  const last = indexFrom(time_s, to_s);
  return last - first < 8 ? null : (lineAt(time_s, pressure_Pa, first, last, moment_s)?.value ?? null);
}

/** From the lowest reading about a rise to the highest. */
function span_Pa({ time_s, pressure_Pa }: Curve, { from_s, to_s }: Rise): number {
  const near = pressure_Pa.subarray(indexFrom(time_s, from_s - BIN_s), indexFrom(time_s, to_s + BIN_s));
  return near.length === 0 ? 0 : near.reduce((a, b) => Math.max(a, b)) - near.reduce((a, b) => Math.min(a, b));
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
