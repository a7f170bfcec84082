import { at, type Curve } from "../curve.ts";
import { STANDARD_AMBIENT_Pa, slope_Pa_per_K, wetSlope_Pa_per_K, ZERO_C_K } from "../physics/air.ts";
import type { GaugeFacts } from "../record.ts";
import { indexFrom } from "./lineAt.ts";
import { resolutionOf } from "./noise.ts";

/** Change of a column from the start to the end of the hold, with its standard uncertainty. */
export interface Change {
  start: number;
  change: number;
  u: number;
}

/** What the air in the pipe and the barometer did during the hold. `share_Pa` is their part of the drop: + adds, − hides. */
export interface Drift {
  air_K: Change | null;
  ambient_Pa: Change | null;
  /** `wet_Pa`: the share if the bore is wet, the largest it can be. */
  temperature: { share_Pa: number; u_Pa: number; wet_Pa: number } | null;
  barometer: { share_Pa: number; u_Pa: number } | null;
}

/**
 * Ideal gas, rigid section: a gauge pressure follows (P/T) ΔT − ΔPa, so the drop is short or long by that much. The sign turns for
 * vacuum; a sealed or absolute sensor does not see the barometer.
 */
export function driftOf(curve: Curve, sign: 1 | -1, gauge: GaugeFacts, hold: Span, clean: Span): Drift {
  const air_K = curve.air_C ? changeOf(curve.time_s, curve.air_C, hold, clean) : null;
  const ambient_Pa = curve.ambient_Pa ? changeOf(curve.time_s, curve.ambient_Pa, hold, clean) : null;
  const barometer = ambient_Pa && gauge.reference === "vented" ? { share_Pa: sign * ambient_Pa.change, u_Pa: ambient_Pa.u } : null;
  if (!air_K) return { air_K, ambient_Pa, temperature: null, barometer };
  const i = Math.min(curve.time_s.length - 1, indexFrom(curve.time_s, hold.from_s));
  const air = [at(curve.pressure_Pa, i), air_K.start + ZERO_C_K, ambient_Pa?.start ?? STANDARD_AMBIENT_Pa] as const;
  const perKelvin = slope_Pa_per_K(...air);
  const share = (slope: number): number => -sign * slope * air_K.change;
  return {
    air_K,
    ambient_Pa,
    barometer,
    temperature: { share_Pa: share(perKelvin), u_Pa: perKelvin * air_K.u, wet_Pa: share(wetSlope_Pa_per_K(...air)) },
  };
}

export interface Span {
  from_s: number;
  to_s: number;
}

/** Means of up to 20 s (a tenth of the hold, 10 s at least) centred on the two boundaries; a drift is slow, a single figure is noisy. */
function changeOf(time_s: ArrayLike<number>, column: ArrayLike<number>, hold: Span, clean: Span): Change | null {
  const half_s = Math.max(5, Math.min(10, (hold.to_s - hold.from_s) / 20));
  const around = (moment_s: number): Span => ({
    from_s: Math.max(clean.from_s, moment_s - half_s),
    to_s: Math.min(clean.to_s, moment_s + half_s),
  });
  const start = meanIn(time_s, column, around(hold.from_s));
  const end = meanIn(time_s, column, around(hold.to_s));
  if (!start || !end) return null;
  // A sensor that stands on one of its steps is no better than the step.
  const step = resolutionOf(column) / Math.sqrt(12);
  return { start: start.mean, change: end.mean - start.mean, u: Math.hypot(Math.max(start.u, step), Math.max(end.u, step)) };
}

function meanIn(time_s: ArrayLike<number>, column: ArrayLike<number>, span: Span): { mean: number; u: number } | null {
  let sum = 0;
  let squares = 0;
  let n = 0;
  for (let i = indexFrom(time_s, span.from_s); i < time_s.length && at(time_s, i) <= span.to_s; i++) {
    const value = at(column, i);
    if (!Number.isFinite(value)) continue;
    sum += value;
    squares += value * value;
    n++;
  }
  if (n === 0) return null;
  const mean = sum / n;
  const variance = n > 1 ? Math.max(0, squares / n - mean * mean) * (n / (n - 1)) : 0;
  return { mean, u: Math.sqrt(variance / n) };
}
