import { at } from "../curve.ts";
import { indexFrom } from "./lineAt.ts";
import { correlationOf } from "./noise.ts";
import { type Leak, laminar, orifice } from "./settledLeak.ts";

/** A stretch of closed pipe told apart into a settled leak and a dying transient. */
export interface SettlingFit {
  /** Transient still to come over a hold of `hold_s` that starts at `start_s`: + adds to the drop, − hides it. */
  comingAt(start_s: number, hold_s: number): Coming;
}

export interface Coming {
  coming_Pa: number;
  u_Pa: number;
  /** Largest and smallest the readings allow (95 %, one-sided), over all fits that are as good. */
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

/** One time constant tried with one kind of leak: the transient's size at the start of the stretch and what stays unexplained. */
interface Trial {
  tau_s: number;
  c_Pa: number;
  /** Standard uncertainty of `c_Pa` per unit scatter of a point. */
  spread: number;
  sse: number;
  residuals: Float64Array;
}

/** Shortest time constant tried, a thin pipe's, s. */
const SHORTEST_S = 6;
const COARSE = 20;
const FINE = 5;
/** One-sided 95 % of a χ² with one degree of freedom: 1.645². */
const AS_GOOD = 2.71;
const MOST_POINTS = 240;
/** Far below the test pressure nothing is learnt about a hold near it. */
const LEAST_PART = 0.5;
const ITERATIONS = 3;

/**
 * Least squares of settled leak + c·exp(−t/τ) with τ profiled, for a laminar leak and for a hole. Which of them it is, and which τ, the readings
 * often leave open; everything that fits as well as the best within their scatter widens the bounds.
 * `null` when the stretch has fewer than 12 readings or lies at no pressure.
 */
export function fitSettling(input: StretchInput): SettlingFit | null {
  const points = binned(input);
  if (points.t.length < 12) return null;
  const trials = [laminar, orifice].flatMap((leak) => profile(leak, points, input.longest_s));
  if (trials.length === 0) return null;
  const best = leastOf(trials);
  const steps = input.resolution_Pa ** 2 / 12 / points.each;
  const variance = Math.max(steps, best.sse / (points.t.length - 4)) * correlationOf([best.residuals]);
  const asGood = trials.filter((t) => t.sse <= best.sse + AS_GOOD * variance);
  return { comingAt: (start_s, hold_s) => comingOf(asGood, best, Math.sqrt(variance), start_s - input.from_s, hold_s) };
}

const leastOf = (trials: readonly Trial[]): Trial => trials.reduce((a, b) => (b.sse < a.sse ? b : a));

interface Points {
  t: Float64Array;
  y: Float64Array;
  /** Readings that went into one point. */
  each: number;
}

/** Means of equal numbers of readings, at most 240 points, so that a fast gauge costs no more than a slow one. */
function binned({ time_s, size_Pa, from_s, to_s, test_Pa }: StretchInput): Points {
  const first = indexFrom(time_s, from_s);
  let last = indexFrom(time_s, to_s + 1e-9);
  while (last > first && at(size_Pa, last - 1) < LEAST_PART * test_Pa) last--;
  const each = Math.max(1, Math.ceil((last - first) / MOST_POINTS));
  const count = Math.floor((last - first) / each);
  const mean = (column: ArrayLike<number>, k: number): number => {
    let sum = 0;
    for (let i = first + k * each; i < first + (k + 1) * each; i++) sum += at(column, i);
    return sum / each;
  };
  return {
    t: Float64Array.from({ length: count }, (_, k) => mean(time_s, k) - from_s),
    y: Float64Array.from({ length: count }, (_, k) => mean(size_Pa, k)),
    each,
  };
}

/** Time constants on an even logarithmic scale, and again more finely round the best of them. */
function profile(leak: Leak, points: Points, longest_s: number): Trial[] {
  const ratio = (longest_s / SHORTEST_S) ** (1 / (COARSE - 1));
  const coarse = Array.from({ length: COARSE }, (_, k) => SHORTEST_S * ratio ** k).flatMap((tau_s) => trialOf(leak, points, tau_s));
  if (coarse.length === 0) return [];
  const best = leastOf(coarse);
  const powers = Array.from({ length: FINE }, (_, k) => (k + 1) / (FINE + 1));
  return [
    ...coarse,
    ...powers.flatMap((p) => [best.tau_s * ratio ** p, best.tau_s / ratio ** p]).flatMap((tau_s) => trialOf(leak, points, tau_s)),
  ];
}

/** Gauss and Newton: a, k and c for one τ; nearly linear, so that three rounds are plenty. */
function trialOf(leak: Leak, { t, y }: Points, tau_s: number): Trial[] {
  const n = t.length;
  const fading = t.map((x) => Math.exp(-x / tau_s));
  let [a, k] = leak.start(at(y, n >> 1), at(y, n - 1), at(t, n - 1) - at(t, n >> 1));
  let c = 0;
  let spread = 0;
  const residuals = new Float64Array(n);
  if (!Number.isFinite(a) || !Number.isFinite(k)) return [];
  for (let round = 0; round <= ITERATIONS; round++) {
    const sums = new Float64Array(9);
    let sse = 0;
    for (let i = 0; i < n; i++) {
      const x = at(t, i);
      const e = at(fading, i);
      const r = at(y, i) - leak.value(a, k, x) - c * e;
      addTo(sums, leak.byA(a, k, x), leak.byK(a, k, x), e, r);
      residuals[i] = r;
      sse += r * r;
    }
    if (round === ITERATIONS) return Number.isFinite(sse) ? [{ tau_s, c_Pa: c, spread, sse, residuals }] : [];
    const step = solved(sums);
    if (step === null) return [];
    a += step.a;
    k += step.k;
    c += step.c;
    spread = step.spread;
  }
  return [];
}

/** Sums of the normal equations: aa, ak, ac, kk, kc, cc, ar, kr, cr. */
function addTo(sums: Float64Array, da: number, dk: number, dc: number, r: number): void {
  const products = [da * da, da * dk, da * dc, dk * dk, dk * dc, dc * dc, da * r, dk * r, dc * r];
  for (let j = 0; j < 9; j++) sums[j] = at(sums, j) + at(products, j);
}

/** Elimination in the order a, k, c, so that what is left on the diagonal of c is its leverage. `null` when c cannot be told from a leak. */
function solved(s: Float64Array): { a: number; k: number; c: number; spread: number } | null {
  const kk = at(s, 3) - at(s, 1) ** 2 / at(s, 0);
  const kc = at(s, 4) - (at(s, 1) * at(s, 2)) / at(s, 0);
  const kr = at(s, 7) - (at(s, 1) * at(s, 6)) / at(s, 0);
  const cc = at(s, 5) - at(s, 2) ** 2 / at(s, 0) - kc ** 2 / kk;
  const cr = at(s, 8) - (at(s, 2) * at(s, 6)) / at(s, 0) - (kc * kr) / kk;
  if (!(cc > 1e-9)) return null;
  const c = cr / cc;
  const k = (kr - kc * c) / kk;
  return { a: (at(s, 6) - at(s, 1) * k - at(s, 2) * c) / at(s, 0), k, c, spread: Math.sqrt(1 / cc) };
}

function comingOf(asGood: readonly Trial[], best: Trial, scatter_Pa: number, since_s: number, hold_s: number): Coming {
  const share = ({ tau_s }: Trial): number => Math.exp(-Math.max(0, since_s) / tau_s) * (1 - Math.exp(-hold_s / tau_s));
  const coming_Pa = best.c_Pa * share(best);
  let high_Pa = coming_Pa;
  let low_Pa = coming_Pa;
  for (const trial of asGood) {
    const part = share(trial);
    const spread_Pa = 1.645 * scatter_Pa * trial.spread * part;
    high_Pa = Math.max(high_Pa, trial.c_Pa * part + spread_Pa);
    low_Pa = Math.min(low_Pa, trial.c_Pa * part - spread_Pa);
  }
  return { coming_Pa, u_Pa: Math.max(high_Pa - coming_Pa, coming_Pa - low_Pa) / 1.645, high_Pa, low_Pa };
}
