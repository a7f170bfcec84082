import { fitLine, type Line, valueAt, widening } from "./line.ts";
import { indexFrom } from "./lineAt.ts";

/** Part of the permitted drop that the transient still to come may take: EN 1610's own demand on measuring the drop. */
export const ALLOWED_PART = 0.1;

/** Part of a pressure step that the air's return to wall temperature gives back: (γ−1)/γ. */
export const GIVEN_BACK = 0.4 / 1.4;

/** After the flow stops the gauge's own tee shows hose for this long, s. */
export const HOSE_S = 5;

/** Time constant of trapped air, seconds, from the bore; a working guess, ±60 % (free convection in a tube). */
export const airTimeConstant_s = (dn_mm: number | null): number => 10 + 0.12 * (dn_mm ?? 300);

export interface Transient {
  /** Still to come over the hold: + a fall that adds to the drop, − a rise that hides some of it. */
  coming_Pa: number;
  /** One-sided 95 % allowance for noise, Pa. */
  noise_Pa: number;
  window_s: number;
  /** No window up to the longest brings the noise under a third of the allowance. */
  tooCoarse: boolean;
}

export interface SettlingCase {
  t_s: readonly number[];
  p_Pa: readonly number[];
  /** Readings before this time belong to pumping, bleeding or the hose. */
  since_s: number;
  holdSeconds: number;
  /** Time constant taken for the air; three times the guess is the safe choice, since settling slows down as it ends. */
  tau_s: number;
  allowance_Pa: number;
  /** Smallest step the gauge shows. */
  resolution_Pa: number;
  /** Windows may be this short when the pipe cannot wait for longer ones; absent: as long as the air's time asks. */
  shortest_s?: number;
}

/** The window the search begins with, for a time constant of the air. */
export const firstWindow_s = (tau_s: number): number => Math.min(Math.max(tau_s, SHORTEST_WINDOW_S), FIRST_WINDOW_LIMIT_S);

const SHORTEST_WINDOW_S = 15;
const FIRST_WINDOW_LIMIT_S = 60;
const LONGEST_WINDOW_S = 150;

/**
 * Transient still to come, from the change of slope between two adjacent windows that end now. A leaking pipe never goes
 * flat; what dies out is the change of its slope. `null` until both windows fit in since the last action.
 *
 *     p │╲                      s1 = slope of the first window, s2 of the second
 *       │ ╲__  s1               s2 − s1·(y2/y1) = what is not a settled leak's own fading
 *       │    ╲───___ s2
 *       └───┬──────┬─────→ t    for c·exp(−t/τ): mean slope in a window = −c(e^{W/τ}−1)e^{−t/τ}/W
 *          t−2W   t−W     t
 */
export function transientToCome(input: SettlingCase): Transient | null {
  const now = input.t_s.at(-1);
  if (now === undefined) return null;
  const first = Math.min(firstWindow_s(input.tau_s), input.shortest_s ?? FIRST_WINDOW_LIMIT_S);
  let best: Transient | null = null;
  for (let window_s = first; window_s <= LONGEST_WINDOW_S; window_s += 5) {
    if (now - 2 * window_s < input.since_s) break;
    const found = changeOfSlope(input, now, window_s);
    if (found === null) continue;
    best = found;
    if (found.noise_Pa <= input.allowance_Pa / 3) return found;
  }
  if (best === null) return null;
  return { ...best, tooCoarse: now - 2 * LONGEST_WINDOW_S >= input.since_s };
}

function changeOfSlope(input: SettlingCase, now: number, window_s: number): Transient | null {
  const end = input.t_s.length;
  const middle = indexFrom(input.t_s, now - window_s);
  const start = indexFrom(input.t_s, now - 2 * window_s);
  const early = fitLine(input.t_s, input.p_Pa, start, middle);
  const late = fitLine(input.t_s, input.p_Pa, middle, end);
  if (early.n < 4 || late.n < 4 || early.sumTT === 0 || late.sumTT === 0) return null;
  const y1 = valueAt(early, now - 1.5 * window_s);
  const y2 = valueAt(late, now - 0.5 * window_s);
  const fading = y1 > 0 && y2 > 0 ? y2 / y1 : 1;
  const change = late.slope - early.slope * fading;
  const ratio = window_s / input.tau_s;
  const k = (window_s * (1 - Math.exp(-input.holdSeconds / input.tau_s))) / (Math.exp(ratio) - 1) ** 2;
  return {
    coming_Pa: change * k,
    noise_Pa: 1.645 * slopeNoise(early, late, input.resolution_Pa) * k,
    window_s,
    tooCoarse: false,
  };
}

/** Standard uncertainty of the difference of two slopes, Pa/s. */
function slopeNoise(early: Line, late: Line, resolution_Pa: number): number {
  const variance = (early.sd ** 2 + late.sd ** 2) / 2 + resolution_Pa ** 2 / 12;
  const widen = widening(Math.max(early.rho, late.rho));
  return widen * Math.sqrt(variance * (1 / early.sumTT + 1 / late.sumTT));
}

/** Air put in (+) or let out (−) quickly, and when it ended. */
export interface Action {
  from_s: number;
  to_s: number;
  step_Pa: number;
}

/**
 * Largest transient the given actions can still cause after `now_s`: each gives back at most (γ−1)/γ of its step,
 * dying with the air's time constant. `adds_Pa` by pumping, `hides_Pa` by bleeding; both ≥ 0.
 */
export function boundOfActions(actions: readonly Action[], now_s: number, tau_s: number): { adds_Pa: number; hides_Pa: number } {
  let adds_Pa = 0;
  let hides_Pa = 0;
  for (const action of actions) {
    const took = (action.to_s - action.from_s) / tau_s;
    // Air pumped in slowly has cooled in part before the pumping ends.
    const leftAtEnd = took > 1e-6 ? (1 - Math.exp(-took)) / took : 1;
    const left = GIVEN_BACK * Math.abs(action.step_Pa) * leftAtEnd * Math.exp(-Math.max(0, now_s - action.to_s) / tau_s);
    if (action.step_Pa >= 0) adds_Pa += left;
    else hides_Pa += left;
  }
  return { adds_Pa, hides_Pa };
}
