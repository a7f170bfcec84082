import { at } from "../curve.ts";

/** A straight line through readings, read off at one moment. */
export interface LineAt {
  /** Value of the line at the moment asked for, in the unit of the readings. */
  value: number;
  slope: number;
  n: number;
  /** Sum of squared residuals. */
  sse: number;
  /** Variance of `value` per unit variance of one independent reading. */
  leverage: number;
}

/** Least squares through readings `from` ≤ i < `to`, evaluated at `at_s`; `null` with fewer than two distinct times. */
export function lineAt(time_s: ArrayLike<number>, y: ArrayLike<number>, from: number, to: number, at_s: number): LineAt | null {
  const n = to - from;
  if (n < 2) return null;
  let meanT = 0;
  let meanY = 0;
  for (let i = from; i < to; i++) {
    meanT += at(time_s, i) - at_s;
    meanY += at(y, i);
  }
  meanT /= n;
  meanY /= n;
  let stt = 0;
  let sty = 0;
  let syy = 0;
  for (let i = from; i < to; i++) {
    const dt = at(time_s, i) - at_s - meanT;
    const dy = at(y, i) - meanY;
    stt += dt * dt;
    sty += dt * dy;
    syy += dy * dy;
  }
  if (stt <= 0) return null;
  const slope = sty / stt;
  return {
    value: meanY - slope * meanT,
    slope,
    n,
    sse: Math.max(0, syy - slope * sty),
    leverage: 1 / n + (meanT * meanT) / stt,
  };
}

/** First index whose time is not before `moment_s` (the length when there is none); times must be in order. */
export function indexFrom(time_s: ArrayLike<number>, moment_s: number): number {
  let low = 0;
  let high = time_s.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (at(time_s, middle) < moment_s) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Median of a list; NaN when it is empty. Does not change the list. */
export function median(values: ArrayLike<number>): number {
  const sorted = Float64Array.from(values).sort();
  const n = sorted.length;
  if (n === 0) return Number.NaN;
  const upper = at(sorted, n >> 1);
  return n % 2 === 1 ? upper : (upper + at(sorted, (n >> 1) - 1)) / 2;
}
