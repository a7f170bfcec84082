import { at } from "../curve.ts";

/** A least-squares line through part of two columns. */
export interface Line {
  n: number;
  /** Mean of the times and of the values: the point the line turns about. */
  meanT: number;
  meanY: number;
  slope: number;
  /** Sum of squared time distances from the mean; 0 when all times are equal. */
  sumTT: number;
  /** Standard deviation of the residuals (n − 2), 0 below three points. */
  sd: number;
  /** Correlation of neighbouring residuals, 0…0.95: wind and slow filters make readings less than independent. */
  rho: number;
}

/** Fits indices `from`…`to` (excluded). Fewer than one point gives `n: 0`; one point, a flat line. */
export function fitLine(t: ArrayLike<number>, y: ArrayLike<number>, from: number, to: number): Line {
  const n = to - from;
  if (n <= 0) return { n: 0, meanT: 0, meanY: 0, slope: 0, sumTT: 0, sd: 0, rho: 0 };
  let meanT = 0;
  let meanY = 0;
  for (let i = from; i < to; i++) {
    meanT += at(t, i);
    meanY += at(y, i);
  }
  meanT /= n;
  meanY /= n;
  let sumTT = 0;
  let sumTY = 0;
  for (let i = from; i < to; i++) {
    const dt = at(t, i) - meanT;
    sumTT += dt * dt;
    sumTY += dt * (at(y, i) - meanY);
  }
  const slope = sumTT > 0 ? sumTY / sumTT : 0;
  const { sd, rho } = residuals(t, y, from, to, { meanT, meanY, slope });
  return { n, meanT, meanY, slope, sumTT, sd, rho };
}

/** The line's value at time `t`. */
export const valueAt = (line: Pick<Line, "meanT" | "meanY" | "slope">, t: number): number => line.meanY + line.slope * (t - line.meanT);

/** How much wider the true uncertainty is than white noise would make it: √((1+ρ)/(1−ρ)). */
export const widening = (rho: number): number => Math.sqrt((1 + rho) / (1 - rho));

function residuals(
  t: ArrayLike<number>,
  y: ArrayLike<number>,
  from: number,
  to: number,
  line: { meanT: number; meanY: number; slope: number },
): { sd: number; rho: number } {
  const n = to - from;
  if (n < 3) return { sd: 0, rho: 0 };
  let sum = 0;
  let lag = 0;
  let before = 0;
  for (let i = from; i < to; i++) {
    const r = at(y, i) - valueAt(line, at(t, i));
    sum += r * r;
    if (i > from) lag += r * before;
    before = r;
  }
  const rho = sum > 0 && n >= 8 ? Math.min(0.95, Math.max(0, lag / sum)) : 0;
  return { sd: Math.sqrt(sum / (n - 2)), rho };
}
