import { at } from "../curve.ts";
import { indexFrom } from "./lineAt.ts";
import { correlationOf } from "./noise.ts";

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
  /** Longest time constant to be tried, s. */
  longest_s: number;
  resolution_Pa: number;
}

/** One-sided 95 % of a χ² with one degree of freedom: 1.645². */
const AS_GOOD = 2.71;
const MOST_POINTS = 400;
/** Far below the test pressure the two straight forms part and noise is blown up; nothing is learnt there. */
const LEAST_PART = 0.5;

/**
 * Fit of settled decay + c·exp(−t/τ), τ profiled. Two settled decays are tried: laminar (exponential, a straight line in ln p) and
 * orifice (a straight line in √p); both are scaled so that a step near the test pressure keeps its size.
 * `null` when the stretch has fewer than 12 readings or lies at no pressure.
 */
export function fitSettling(input: StretchInput): SettlingFit | null {
  const points = binned(input);
  if (points.t.length < 12) return null;
  let best: { trials: Trial[]; trial: Trial; z: number[] } | null = null;
  for (const form of [laminar, orifice]) {
    const z = points.y.map((y) => form(y, input.test_Pa));
    const trials = z.every(Number.isFinite) ? profile(points.t, z, input.longest_s) : [];
    const trial = trials.length > 0 ? trials.reduce((a, b) => (b.sse < a.sse ? b : a)) : null;
    if (trial && (best === null || trial.sse < best.trial.sse)) best = { trials, trial, z };
  }
  if (best === null) return null;
  const { trials, trial, z } = best;
  const steps = input.resolution_Pa ** 2 / 12 / points.each;
  const variance = Math.max(steps, trial.sse / (points.t.length - 4)) * correlationOf([residualsOf(points.t, z, trial)]);
  return { from_s: input.from_s, comingAt: comingOf(trials, trial, variance, input.from_s) };
}

const laminar = (y: number, test_Pa: number): number => test_Pa * Math.log(y / test_Pa);
const orifice = (y: number, test_Pa: number): number => 2 * Math.sqrt(test_Pa) * (Math.sqrt(y) - Math.sqrt(test_Pa));

/** Shortest time constant tried, a thin pipe's. */
const SHORTEST_s = 6;
const COARSE = 24;
const FINE = 6;

/** All time constants on an even logarithmic scale, and again more finely round the best of them. */
function profile(t: readonly number[], z: readonly number[], longest_s: number): Trial[] {
  const ratio = (longest_s / SHORTEST_s) ** (1 / (COARSE - 1));
  const coarse = Array.from({ length: COARSE }, (_, k) => SHORTEST_s * ratio ** k).flatMap((tau_s) => trialOf(t, z, tau_s));
  if (coarse.length === 0) return [];
  const best = coarse.reduce((a, b) => (b.sse < a.sse ? b : a));
  const powers = Array.from({ length: FINE }, (_, k) => (k + 1) / (FINE + 1));
  return [...coarse, ...powers.flatMap((p) => [best.tau_s * ratio ** p, best.tau_s / ratio ** p]).flatMap((tau_s) => trialOf(t, z, tau_s))];
}

/** Means of equal stretches of time, at most 400, so that a fast gauge costs no more than a slow one. */
function binned({ time_s, size_Pa, from_s, to_s, test_Pa }: StretchInput): { t: number[]; y: number[]; each: number } {
  const first = indexFrom(time_s, from_s);
  let last = indexFrom(time_s, to_s + 1e-9);
  while (last > first && at(size_Pa, last - 1) < LEAST_PART * test_Pa) last--;
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

function residualsOf(t: readonly number[], z: readonly number[], { tau_s, c_Pa }: Trial): Float64Array {
  return withoutLine(
    t,
    z.map((v, i) => v - c_Pa * Math.exp(-at(t, i) / tau_s)),
  );
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

function comingOf(trials: readonly Trial[], best: Trial, variance: number, from_s: number): SettlingFit["comingAt"] {
  const asGood = trials.filter((t) => t.sse <= best.sse + AS_GOOD * variance);
  return (start_s, hold_s) => {
    const share = ({ tau_s }: Trial): number => Math.exp(-Math.max(0, start_s - from_s) / tau_s) * (1 - Math.exp(-hold_s / tau_s));
    const spread = (t: Trial): number => Math.sqrt(variance) * t.u_c_Pa * share(t);
    const high_Pa = Math.max(...asGood.map((t) => t.c_Pa * share(t) + 1.645 * spread(t)));
    const low_Pa = Math.min(...asGood.map((t) => t.c_Pa * share(t) - 1.645 * spread(t)));
    const coming_Pa = best.c_Pa * share(best);
    return { coming_Pa, u_Pa: Math.max(spread(best), (high_Pa - coming_Pa) / 1.645, (coming_Pa - low_Pa) / 1.645), high_Pa, low_Pa };
  };
}
