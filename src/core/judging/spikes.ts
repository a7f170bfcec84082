import { at, type Curve } from "../curve.ts";
import { median } from "./lineAt.ts";

/** Readings looked at on each side; two of them may be spikes too. */
const SIDE = 5;
/** Hampel's threshold in standard deviations of the neighbourhood; 3 to 5 is common practice. */
const SCATTERS = 5;
/** A median absolute deviation times this is a standard deviation under the normal law. */
const MAD_TO_SD = 1.4826;
/** Spikes hidden by a crowd of others come out when those are gone. */
const PASSES = 2;

export interface Unspiked {
  curve: Curve;
  spikes: { at_s: number; pressure_Pa: number }[];
}

/**
 * A Hampel filter with a median and a trend for each side: leaves out readings that lie beyond both, before and after. A step, a ramp or the
 * top of a charge is not a spike, because such readings go with one of their sides. `resolution_Pa` is the gauge's step.
 */
export function withoutSpikes(curve: Curve, resolution_Pa: number): Unspiked {
  let kept = curve;
  const spikes: Unspiked["spikes"] = [];
  for (let pass = 0; pass < PASSES; pass++) {
    const floor_Pa = Math.max(4 * resolution_Pa, 6 * scatterOf(kept.pressure_Pa));
    const keep: number[] = [];
    for (let i = 0; i < kept.pressure_Pa.length; i++) {
      if (isSpike(kept.pressure_Pa, i, floor_Pa)) spikes.push({ at_s: at(kept.time_s, i), pressure_Pa: at(kept.pressure_Pa, i) });
      else keep.push(i);
    }
    if (keep.length === kept.pressure_Pa.length) break;
    kept = pick(kept, keep);
  }
  return { curve: kept, spikes: spikes.sort((a, b) => a.at_s - b.at_s) };
}

/** Scatter of readings about the middle between their neighbours, over the whole curve. */
function scatterOf(pressure_Pa: Float64Array): number {
  const off_Pa = pressure_Pa.subarray(2).map((p, i) => Math.abs(at(pressure_Pa, i + 1) - (at(pressure_Pa, i) + p) / 2));
  return off_Pa.length > 0 ? (MAD_TO_SD * median(off_Pa)) / Math.sqrt(1.5) : 0;
}

/** Beyond the medians and trends of both sides by more than the floor and than the narrower side scatters. */
function isSpike(pressure_Pa: Float64Array, i: number, floor_Pa: number): boolean {
  const n = pressure_Pa.length;
  if (i === 0 || i === n - 1) return false;
  const p = at(pressure_Pa, i);
  // Nearly every reading is as close as that to a neighbour on each side and needs no sorting.
  if (Math.abs(p - at(pressure_Pa, i - 1)) <= floor_Pa && Math.abs(p - at(pressure_Pa, i + 1)) <= floor_Pa) return false;
  const side = Math.min(SIDE, i, n - 1 - i);
  const before = sideOf(pressure_Pa.slice(i - side, i));
  const after = sideOf(pressure_Pa.slice(i + 1, i + 1 + side).reverse());
  const highest = Math.max(before.middle, after.middle, before.next, after.next);
  const lowest = Math.min(before.middle, after.middle, before.next, after.next);
  return Math.max(p - highest, lowest - p) > Math.max(floor_Pa, SCATTERS * MAD_TO_SD * Math.min(before.mad, after.mad));
}

/** The readings of a curve with these indices, in this order. */
export function pick(curve: Curve, indices: readonly number[]): Curve {
  const take = (column: Float64Array): Float64Array => Float64Array.from(indices, (i) => at(column, i));
  return {
    time_s: take(curve.time_s),
    pressure_Pa: take(curve.pressure_Pa),
    air_C: curve.air_C && take(curve.air_C),
    ambient_Pa: curve.ambient_Pa && take(curve.ambient_Pa),
  };
}

interface Side {
  middle: number;
  mad: number;
  /** Where its trend (median of successive changes) puts the reading that comes next. */
  next: number;
}

/** A few readings on one side, the nearest last; sorts them in place. */
function sideOf(few: Float64Array): Side {
  const changes = few.subarray(1).map((p, k) => p - at(few, k));
  const slope = changes.length > 0 ? middleOf(changes.sort()) : 0;
  const middle = middleOf(few.sort());
  for (let k = 0; k < few.length; k++) few[k] = Math.abs(at(few, k) - middle);
  return { middle, mad: middleOf(few.sort()), next: middle + (slope * (few.length + 1)) / 2 };
}

const middleOf = (sorted: Float64Array): number => (at(sorted, (sorted.length - 1) >> 1) + at(sorted, sorted.length >> 1)) / 2;
