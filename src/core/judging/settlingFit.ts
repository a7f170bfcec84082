import { at } from "../curve.ts";
import { indexFrom } from "./lineAt.ts";
import { noiseOf } from "./noise.ts";

/** One time constant tried: the transient's size at the start of the stretch, how well it is known, and what it leaves unexplained. */
interface Trial {
  tau_s: number;
  c_Pa: number;
  u_c_Pa: number;
  sse: number;
}

/** A stretch of closed pipe told apart into a settled leak and a dying transient. */
export interface SettlingFit {
  from_s: number;
  /** Transient still to come over a hold of `hold_s` that starts at `start_s`: + adds to the drop, − hides it. */
  comingAt(start_s: number, hold_s: number): Coming;
}

export interface Coming {
  coming_Pa: number;
  u_Pa: number;
  /** Largest and smallest the readings allow (95 %, one-sided), over all time constants that fit as well. */
  high_Pa: number;
  low_Pa: number;
}

export interface StretchInput {
  time_s: ArrayLike<number>;
  size_Pa: ArrayLike<number>;
  from_s: number;
  to_s: number;
  test_Pa: number;
  resolution_Pa: number;
}

/** One-sided 95 % of a χ² with one degree of freedom: 1.645². */
const AS_GOOD = 2.71;
const MOST_POINTS = 400;

/**
 * Fit of settled decay + c·exp(−t/τ), τ profiled. Two settled decays are tried: laminar (exponential, a straight line in ln p) and
 * orifice (a straight line in √p); both are scaled so that a step near the test pressure keeps its size.
 * `null` when the stretch has fewer than 12 readings or lies at no pressure.
 */
export function fitSettling(input: StretchInput): SettlingFit | null {
  const points = binned(input);
  if (points.t.length < 12) return null;
  const noise = noiseOf(input.time_s, input.size_Pa, input.from_s, input.to_s, input.resolution_Pa);
  const straightened = [laminar, orifice].map((form) => points.y.map((y) => form(y, input.test_Pa)));
  let best: { trials: Trial[]; least: number } | null = null;
  for (const z of straightened) {
    if (!z.every(Number.isFinite)) continue;
    const trials = profile(points.t, z);
    const least = Math.min(...trials.map((t) => t.sse));
    if (trials.length > 0 && (best === null || least < best.least)) best = { trials, least };
  }
  if (best === null) return null;
  const perPoint = points.each / Math.max(1, noise.correlation);
  const floor = Math.max(noise.sigma_Pa, input.resolution_Pa / Math.sqrt(12)) ** 2 / Math.max(1, perPoint);
  const variance = Math.max(floor, best.least / Math.max(1, points.t.length - 4));
  return { from_s: input.from_s, comingAt: comingOf(best.trials, best.least, variance, input.from_s) };
}

const laminar = (y: number, test_Pa: number): number => test_Pa * Math.log(y / test_Pa);
const orifice = (y: number, test_Pa: number): number => 2 * Math.sqrt(test_Pa) * (Math.sqrt(y) - Math.sqrt(test_Pa));

/** Time constants tried, s: from a thin pipe's to the slow tail of a warm wall. */
const SHORTEST_s = 6;
const LONGEST_s = 250;
const COARSE = 24;
const FINE = 6;

/** All time constants on an even logarithmic scale, and again more finely round the best of them. */
function profile(t: readonly number[], z: readonly number[]): Trial[] {
  const ratio = (LONGEST_s / SHORTEST_s) ** (1 / (COARSE - 1));
  const coarse = Array.from({ length: COARSE }, (_, k) => SHORTEST_s * ratio ** k).flatMap((tau_s) => trialOf(t, z, tau_s));
  if (coarse.length === 0) return [];
  const best = coarse.reduce((a, b) => (b.sse < a.sse ? b : a));
  const powers = Array.from({ length: FINE }, (_, k) => (k + 1) / (FINE + 1));
  return [...coarse, ...powers.flatMap((p) => [best.tau_s * ratio ** p, best.tau_s / ratio ** p]).flatMap((tau_s) => trialOf(t, z, tau_s))];
}

/** Means of equal stretches of time, at most 400, so that a fast gauge costs no more than a slow one. */
function binned({ time_s, size_Pa, from_s, to_s }: StretchInput): { t: number[]; y: number[]; each: number } {
  const first = indexFrom(time_s, from_s);
  const last = indexFrom(time_s, to_s + 1e-9);
  const width = Math.max(1, Math.ceil((last - first) / MOST_POINTS));
  const t: number[] = [];
  const y: number[] = [];
  for (let i = first; i < last; i += width) {
    let sumT = 0;
    let sumY = 0;
    const end = Math.min(last, i + width);
    for (let k = i; k < end; k++) {
      sumT += at(time_s, k) - from_s;
      sumY += at(size_Pa, k);
    }
    t.push(sumT / (end - i));
    y.push(sumY / (end - i));
  }
  return { t, y, each: width };
}

/** Least squares of z on [1, t, exp(−t/τ)]; the first two are taken out of the third, which leaves c and its leverage. */
function trialOf(t: readonly number[], z: readonly number[], tau_s: number): Trial[] {
  const e = t.map((x) => Math.exp(-x / tau_s));
  const ez = withoutLine(t, e);
  const zz = withoutLine(t, z);
  let see = 0;
  let sez = 0;
  let szz = 0;
  for (let i = 0; i < t.length; i++) {
    see += at(ez, i) * at(ez, i);
    sez += at(ez, i) * at(zz, i);
    szz += at(zz, i) * at(zz, i);
  }
  if (see < 1e-9) return [];
  return [{ tau_s, c_Pa: sez / see, u_c_Pa: Math.sqrt(1 / see), sse: Math.max(0, szz - (sez * sez) / see) }];
}

function withoutLine(t: readonly number[], z: readonly number[]): Float64Array {
  const n = t.length;
  const meanT = t.reduce((a, b) => a + b, 0) / n;
  const meanZ = z.reduce((a, b) => a + b, 0) / n;
  let stt = 0;
  let stz = 0;
  for (let i = 0; i < n; i++) {
    stt += (at(t, i) - meanT) ** 2;
    stz += (at(t, i) - meanT) * (at(z, i) - meanZ);
  }
  const slope = stt > 0 ? stz / stt : 0;
  return Float64Array.from(z, (v, i) => v - meanZ - slope * (at(t, i) - meanT));
}

function comingOf(trials: readonly Trial[], least: number, variance: number, from_s: number): SettlingFit["comingAt"] {
  const asGood = trials.filter((t) => t.sse <= least + AS_GOOD * variance);
  const best = trials.reduce((a, b) => (b.sse < a.sse ? b : a));
  return (start_s, hold_s) => {
    const share = ({ tau_s }: Trial): number => Math.exp(-Math.max(0, start_s - from_s) / tau_s) * (1 - Math.exp(-hold_s / tau_s));
    const spread = (t: Trial): number => Math.sqrt(variance) * t.u_c_Pa * share(t);
    const high_Pa = Math.max(...asGood.map((t) => t.c_Pa * share(t) + 1.645 * spread(t)));
    const low_Pa = Math.min(...asGood.map((t) => t.c_Pa * share(t) - 1.645 * spread(t)));
    const coming_Pa = best.c_Pa * share(best);
    return { coming_Pa, u_Pa: Math.max(spread(best), (high_Pa - coming_Pa) / 1.645, (coming_Pa - low_Pa) / 1.645), high_Pa, low_Pa };
  };
}
