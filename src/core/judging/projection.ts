import { at } from "../curve.ts";
import { widening } from "./line.ts";
import { indexFrom } from "./lineAt.ts";
import { ALLOWED_PART } from "./settling.ts";

export interface Projection {
  /** Pressure at the start of the hold by the fit. */
  start_Pa: number;
  /** Drop so far by the fit, and at the end of the hold, each with a standard uncertainty. */
  drop_Pa: number;
  u_drop_Pa: number;
  end_drop_Pa: number;
  u_end_drop_Pa: number;
  /** Certain enough to say so; "will pass" is never said. */
  willFail: boolean;
}

/**
 * Drop at the end of the hold from the fall so far. z = p₀·ln(y/p₀) makes a laminar leak a straight line.
 * `permitted_Pa` and the pressures are sizes of charge; `null` below five seconds of hold.
 */
export function project(
  t: readonly number[],
  p: readonly number[],
  about: {
    from_s: number;
    holdSeconds: number;
    permitted_Pa: number;
    test_Pa: number;
    resolution_Pa: number;
  },
): Projection | null {
  const from = indexFrom(t, about.from_s);
  const n = t.length - from;
  if (n < 5) return null;
  const line = logLine(t, p, from, about);
  if (line === null) return null;
  const elapsed = at(t, t.length - 1) - about.from_s;
  const start = about.test_Pa * Math.exp((line.z - line.slope * (line.meanT - about.from_s)) / about.test_Pa);
  const decay = -line.slope / about.test_Pa;
  const dropAfter = (seconds: number): number => start * (1 - Math.exp(-decay * seconds));
  // A steeper line also starts higher: both make the drop larger.
  const uAfter = (seconds: number): number => {
    const left = Math.exp(-decay * seconds);
    return (
      (start * (left * seconds + (1 - left) * (line.meanT - about.from_s)) * line.uSlope) / about.test_Pa +
      about.resolution_Pa / Math.sqrt(12)
    );
  };
  const end = dropAfter(about.holdSeconds);
  const uEnd = uAfter(about.holdSeconds);
  const now = dropAfter(elapsed);
  const uNow = uAfter(elapsed);
  const transient = (1.3 * ALLOWED_PART * about.permitted_Pa * about.holdSeconds) / Math.max(1, elapsed);
  const longEnough = elapsed >= Math.max(60, 0.2 * about.holdSeconds);
  const sure = longEnough && end - transient - 2.33 * uEnd > about.permitted_Pa;
  return {
    start_Pa: start,
    drop_Pa: now,
    u_drop_Pa: uNow,
    end_drop_Pa: end,
    u_end_drop_Pa: uEnd,
    willFail: sure,
  };
}

function logLine(
  t: readonly number[],
  p: readonly number[],
  from: number,
  about: { test_Pa: number; resolution_Pa: number },
): { z: number; meanT: number; slope: number; uSlope: number } | null {
  const n = t.length - from;
  let meanT = 0;
  let meanZ = 0;
  for (let i = from; i < t.length; i++) {
    const y = at(p, i);
    if (y <= 0.01 * about.test_Pa) return null;
    meanT += at(t, i) / n;
    meanZ += (about.test_Pa * Math.log(y / about.test_Pa)) / n;
  }
  let tt = 0;
  let tz = 0;
  for (let i = from; i < t.length; i++) {
    const dt = at(t, i) - meanT;
    tt += dt * dt;
    tz += dt * (about.test_Pa * Math.log(at(p, i) / about.test_Pa) - meanZ);
  }
  if (tt === 0) return null;
  const slope = tz / tt;
  let rr = 0;
  let lag = 0;
  let before = 0;
  for (let i = from; i < t.length; i++) {
    const r = about.test_Pa * Math.log(at(p, i) / about.test_Pa) - meanZ - slope * (at(t, i) - meanT);
    rr += r * r;
    lag += r * before;
    before = r;
  }
  // Residuals of a fitted line look less alike than the noise is, by about (1 + 4ρ)/n (Kendall 1954, from memory); noise that is white stays so.
  const seen = rr > 0 && n >= 8 ? lag / rr : 0;
  const rho = seen > 2 / Math.sqrt(n) ? Math.min(0.95, seen + (1 + 4 * seen) / n) : Math.max(0, seen);
  const variance = rr / (n - 2) + about.resolution_Pa ** 2 / 12;
  return {
    z: meanZ,
    meanT,
    slope,
    uSlope: widening(rho) * Math.sqrt(variance / tt),
  };
}
