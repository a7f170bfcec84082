import { at } from "../curve.ts";
import { type Limits, signOf } from "../methods/limits.ts";
import type { Watched } from "./actions.ts";
import type { Cleaned } from "./clean.ts";
import { median } from "./lineAt.ts";

/** The curve as watched, and what the gauge itself showed: opening a pipe ends at zero whatever the barometer did. */
export interface Seen extends Watched {
  shown_Pa: readonly number[];
}

/** The curve as sizes, the measured barometer's slow movement taken out, thinned to at most two readings a second. */
export function watchedOf(cleaned: Cleaned, limits: Limits): Seen {
  const { curve, interval_s, resolution_Pa } = cleaned;
  const sign = signOf(limits);
  const barometer = curve.ambient_Pa && smoothed(curve.time_s, curve.ambient_Pa);
  const width = Math.max(1, Math.round(0.5 / interval_s));
  const time_s: number[] = [];
  const size_Pa: number[] = [];
  const shown_Pa: number[] = [];
  for (let i = 0; i < curve.time_s.length; i += width) {
    const end = Math.min(curve.time_s.length, i + width);
    let t = 0;
    let shown = 0;
    let weather = 0;
    for (let k = i; k < end; k++) {
      t += at(curve.time_s, k);
      shown += sign * at(curve.pressure_Pa, k);
      weather += barometer ? sign * (at(barometer, k) - at(barometer, 0)) : 0;
    }
    time_s.push(t / (end - i));
    size_Pa.push((shown + weather) / (end - i));
    shown_Pa.push(shown / (end - i));
  }
  return {
    time_s,
    size_Pa,
    shown_Pa,
    test_Pa: Math.abs(limits.test_Pa),
    permittedDrop_Pa: limits.permittedDrop_Pa,
    sigma_Pa: scatterOf(size_Pa),
    resolution_Pa,
    interval_s: interval_s * width,
  };
}

/** Median of the second differences, as the standard deviation of one reading: trends and steps do not count. */
function scatterOf(size_Pa: readonly number[]): number {
  const second = size_Pa.slice(2).map((p, i) => Math.abs(p - 2 * at(size_Pa, i + 1) + at(size_Pa, i)));
  return second.length > 0 ? (1.4826 * median(second)) / Math.sqrt(6) : 0;
}

/** Mean over ± 10 s, gaps in the column bridged by the last value. */
function smoothed(time_s: Float64Array, column: Float64Array): Float64Array {
  const filled = Float64Array.from(column);
  let known = filled.find(Number.isFinite) ?? 0;
  for (let i = 0; i < filled.length; i++) {
    if (Number.isFinite(at(filled, i))) known = at(filled, i);
    else filled[i] = known;
  }
  let low = 0;
  let high = 0;
  let sum = 0;
  return filled.map((_, i) => {
    while (high < filled.length && at(time_s, high) <= at(time_s, i) + 10) sum += at(filled, high++);
    while (at(time_s, low) < at(time_s, i) - 10) sum -= at(filled, low++);
    return sum / (high - low);
  });
}
