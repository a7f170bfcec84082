import { at } from "../curve.ts";
import type { GaugeFacts } from "../record.ts";
import type { Span } from "./drift.ts";
import { indexFrom, lineAt } from "./lineAt.ts";
import { type Noise, noiseOf, resolutionOf } from "./noise.ts";

/** The pressure at one boundary of the hold, estimated from the readings round it. */
export interface Boundary {
  size_Pa: number;
  /** Standard uncertainty from noise and gauge steps alone, Pa. */
  u_Pa: number;
  noise_Pa: number;
  steps_Pa: number;
  slope_Pa_s: number;
}

/** What makes the drop uncertain: standard uncertainties that add as squares (JCGM 100:2008, 5.1.2), Pa. */
export interface Budget {
  /** Scatter of the readings, by their effective number. */
  noise_Pa: number;
  /** Steps of a gauge whose noise does not reach from one to the next. */
  steps_Pa: number;
  /** Error of the scale, on the difference only. */
  span_Pa: number;
  /** Error that does not cancel between two readings. */
  linearity_Pa: number;
  timing_Pa: number;
  /** The gauge's zero as it was seen to wander; uncorrected, so as wide as that. */
  zero_Pa: number;
}

export const combined_Pa = (budget: Budget): number => Math.hypot(...Object.values(budget));

/** Sizes of the charge at both ends of the hold (positive for vacuum too), and the drop between them. */
export interface DropEstimate {
  start: Boundary | null;
  end: Boundary | null;
  drop_Pa: number | null;
  u_drop_Pa: number | null;
  /** Standard uncertainty of the pressure at the end itself, for a method worded as a floor. */
  u_end_Pa: number | null;
  noise: Noise;
  /** `null` with the drop; its zero is filled in by who knows it. */
  budget: Budget | null;
}

export interface DropInput {
  time_s: ArrayLike<number>;
  /** Gauge pressure times the sign of the method: the size of the charge, Pa. */
  size_Pa: ArrayLike<number>;
  gauge: GaugeFacts;
  hold: Span;
  /** Readings outside these moments belong to something else (a stroke of the pump, the release). */
  clean: Span;
  /** Last moments before steps: no line may run across one. */
  breaks_s: readonly number[];
}

const SHORTEST_WINDOW_S = 8;
const LONGEST_WINDOW_S = 20;
/** How well one boundary is placed in time when readings carry stamps of their own; a working guess, no source. */
const STAMP_JITTER_S = 0.05;
const SQRT3 = Math.sqrt(3);

/**
 * The drop from a straight line at each boundary, read off at the boundary second: windows reach to both sides where the curve is
 * clean. A mean of readings inside the hold would be short by slope × half a window, always in the pipe's favour.
 */
export function estimateDrop(input: DropInput): DropEstimate {
  const { time_s, size_Pa, hold, gauge } = input;
  const noise = noiseOf(time_s, size_Pa, hold.from_s, hold.to_s, gauge.resolution_Pa ?? resolutionOf(size_Pa), input.breaks_s);
  const window_s = windowOf(input, noise);
  const start = boundaryAt(input, hold.from_s, window_s, noise);
  const end = boundaryAt(input, hold.to_s, window_s, noise);
  if (!start || !end)
    return {
      start,
      end,
      drop_Pa: null,
      u_drop_Pa: null,
      u_end_Pa: end ? uEnd(end, gauge) : null,
      noise,
      budget: null,
    };
  const drop_Pa = start.size_Pa - end.size_Pa;
  const budget: Budget = {
    noise_Pa: Math.hypot(start.noise_Pa, end.noise_Pa),
    steps_Pa: Math.hypot(start.steps_Pa, end.steps_Pa),
    span_Pa: (Math.abs(drop_Pa) * (gauge.accuracy_fraction ?? 0)) / SQRT3,
    linearity_Pa: (gauge.accuracy_Pa ?? 0) / SQRT3,
    timing_Pa: Math.abs(end.slope_Pa_s) * STAMP_JITTER_S,
    zero_Pa: 0,
  };
  return {
    start,
    end,
    drop_Pa,
    u_drop_Pa: combined_Pa(budget),
    u_end_Pa: uEnd(end, gauge),
    noise,
    budget,
  };
}

const uEnd = (end: Boundary, gauge: GaugeFacts): number =>
  Math.hypot(end.u_Pa, ((gauge.accuracy_fraction ?? 0) * end.size_Pa) / SQRT3, (gauge.accuracy_Pa ?? 0) / SQRT3);

/** Wide enough for eight readings and, with a coarse gauge, for about a step and a half; never more than a fifth of the hold. */
function windowOf({ time_s, size_Pa, hold }: DropInput, noise: Noise): number {
  const length_s = hold.to_s - hold.from_s;
  const whole = lineAt(time_s, size_Pa, indexFrom(time_s, hold.from_s), indexFrom(time_s, hold.to_s + 1e-9), hold.from_s);
  const perStep_s = noise.undithered && whole && whole.slope !== 0 ? (1.5 * noise.resolution_Pa) / Math.abs(whole.slope) : 0;
  const usual_s = Math.min(LONGEST_WINDOW_S, Math.max(SHORTEST_WINDOW_S, length_s / 12));
  return Math.max(usual_s, 8 * noise.interval_s, Math.min(perStep_s, length_s / 5));
}

function boundaryAt(input: DropInput, moment_s: number, window_s: number, noise: Noise): Boundary | null {
  const { time_s, size_Pa } = input;
  const span = freeSpan(input, moment_s, window_s);
  const from = indexFrom(time_s, span.from_s);
  const to = indexFrom(time_s, span.to_s + 1e-9);
  if (!isMeasured(time_s, from, to, moment_s, noise)) return null;
  const fit = lineAt(time_s, size_Pa, from, to, moment_s);
  if (!fit) return null;
  const own = fit.n > 6 ? Math.sqrt(fit.sse / (fit.n - 2)) : 0;
  const sigma = Math.max(noise.sigma_Pa, 0.7 * own);
  const random = sigma * Math.sqrt(Math.min(1, fit.leverage * noise.correlation));
  const stairs = noise.resolution_Pa > 0 ? (Math.abs(fit.slope) * (span.to_s - span.from_s)) / noise.resolution_Pa : 1;
  const steps = noise.undithered ? noise.resolution_Pa / Math.sqrt(12 * Math.min(fit.n, Math.max(1, stairs))) : 0;
  return {
    size_Pa: fit.value,
    u_Pa: Math.hypot(random, steps),
    noise_Pa: random,
    steps_Pa: steps,
    slope_Pa_s: fit.slope,
  };
}

function freeSpan({ clean, breaks_s }: DropInput, moment_s: number, window_s: number): Span {
  let from_s = Math.max(clean.from_s, moment_s - window_s);
  let to_s = Math.min(clean.to_s, moment_s + window_s);
  for (const b of breaks_s) {
    if (b < moment_s) from_s = Math.max(from_s, b + 1e-6);
    else to_s = Math.min(to_s, b);
  }
  return { from_s, to_s };
}

/** A boundary counts as measured with a reading right at it, or with readings on both sides inside the window. */
function isMeasured(time_s: ArrayLike<number>, from: number, to: number, moment_s: number, noise: Noise): boolean {
  if (to - from < 3) return false;
  const near_s = Math.max(2, 3 * noise.interval_s);
  let before = Number.POSITIVE_INFINITY;
  let after = Number.POSITIVE_INFINITY;
  for (let i = from; i < to; i++) {
    const gap = at(time_s, i) - moment_s;
    if (gap <= 0) before = Math.min(before, -gap);
    if (gap >= 0) after = Math.min(after, gap);
  }
  return Math.min(before, after) <= near_s || (Number.isFinite(before) && Number.isFinite(after));
}
