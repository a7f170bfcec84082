import { at, type Curve } from "../curve.ts";
import { median } from "./lineAt.ts";

/** Readings on each side of the one looked at; up to two neighbours may be spikes too. */
const HALF = 3;
/** Hampel's threshold in standard deviations of the neighbourhood; 3 to 5 is common practice. */
const SCATTERS = 5;
/** A median absolute deviation times this is a standard deviation under the normal law. */
const MAD_TO_SD = 1.4826;

export interface Unspiked {
  curve: Curve;
  spikes: { at_s: number; pressure_Pa: number }[];
}

/**
 * Hampel filter: leaves out readings that stand apart from their neighbours on both sides. A real step is not a spike, because the
 * readings after it stay with it; a ramp is not one, because its own scatter is wide. `resolution_Pa` is the gauge's step.
 */
export function withoutSpikes(curve: Curve, resolution_Pa: number): Unspiked {
  const { offset_Pa, scatter_Pa } = apartness(curve.pressure_Pa);
  const usual_Pa = MAD_TO_SD * median(offset_Pa.map(Math.abs));
  const floor_Pa = Math.max(4 * resolution_Pa, 6 * usual_Pa);
  const keep: number[] = [];
  const spikes: Unspiked["spikes"] = [];
  for (let i = 0; i < offset_Pa.length; i++) {
    const apart = Math.abs(at(offset_Pa, i)) > Math.max(floor_Pa, SCATTERS * at(scatter_Pa, i));
    if (apart) spikes.push({ at_s: at(curve.time_s, i), pressure_Pa: at(curve.pressure_Pa, i) });
    else keep.push(i);
  }
  return spikes.length === 0 ? { curve, spikes } : { curve: pick(curve, keep), spikes };
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

/** How far each reading is from the median of its neighbourhood, and how wide that neighbourhood scatters; narrower at the ends. */
function apartness(pressure_Pa: Float64Array): { offset_Pa: Float64Array; scatter_Pa: Float64Array } {
  const n = pressure_Pa.length;
  const offset_Pa = new Float64Array(n);
  const scatter_Pa = new Float64Array(n);
  const whole = new Float64Array(2 * HALF + 1);
  for (let i = 1; i < n - 1; i++) {
    const half = Math.min(HALF, i, n - 1 - i);
    const window = whole.subarray(0, 2 * half + 1);
    for (let k = 0; k < window.length; k++) window[k] = at(pressure_Pa, i - half + k);
    window.sort();
    const middle = at(window, half);
    for (let k = 0; k < window.length; k++) window[k] = Math.abs(at(window, k) - middle);
    window.sort();
    offset_Pa[i] = at(pressure_Pa, i) - middle;
    scatter_Pa[i] = MAD_TO_SD * at(window, half);
  }
  return { offset_Pa, scatter_Pa };
}
