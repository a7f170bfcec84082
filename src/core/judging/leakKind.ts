import { at } from "../curve.ts";
import type { LeakFlow } from "../record.ts";
import type { Evidence } from "./evidence.ts";
import { indexFrom } from "./lineAt.ts";
import { correlationOf } from "./noise.ts";
import { type Leak, laminar, orifice } from "./settledLeak.ts";
import { transientBounds } from "./unsettled.ts";

/** χ² of one degree of freedom: once in a thousand by chance. */
const TELLS = 10.8;
/** Less lost than this bends too little to look at; more weather than this in what was lost bends it too much. */
const LEAST_PART = 0.05;
/** A dying transient leaves about so much of its size once the best straight fall is taken out, worked out for τ of a quarter hold. */
const TRANSIENT_BEND = 0.3;

/**
 * A crack's fall bends twice as much as a hole's. Which it is, when the readings of the hold tell one fit from the other and no transient still
 * to come could have bent the curve as much; else `null`: it cannot be told. A plug creeping evenly bends nothing and cannot be ruled out.
 */
export function leakKind(evidence: Evidence): LeakFlow | null {
  const { input, hold, drop, sign } = evidence;
  if (drop.drop_Pa === null || !drop.start || drop.drop_Pa < LEAST_PART * drop.start.size_Pa) return null;
  const weather_Pa = Math.abs(evidence.drift.temperature?.share_Pa ?? 0) + Math.abs(evidence.drift.barometer?.share_Pa ?? 0);
  if (weather_Pa > LEAST_PART * drop.drop_Pa) return null;
  const { time_s, pressure_Pa } = input.curve;
  const from = indexFrom(time_s, hold.from_s);
  const to = indexFrom(time_s, hold.to_s + 1e-9);
  const t = Array.from(time_s.subarray(from, to), (x) => x - hold.from_s);
  const zero_Pa = evidence.zero.before_Pa ?? 0;
  const y = Array.from(pressure_Pa.subarray(from, to), (p) => sign * (p - zero_Pa));
  if (y.length < 30 || y.some((p) => p <= 0)) return null;
  const crack = fitted(laminar, t, y);
  const hole = fitted(orifice, t, y);
  if (crack === null || hole === null) return null;
  const [best, other] = crack.sse <= hole.sse ? [crack, hole] : [hole, crack];
  // How far the readings lie from the better fit towards the other, as a part of the way between the two.
  const apart = best.residuals.map((r, i) => at(other.residuals, i) - r);
  const between = apart.reduce((sum, d) => sum + d * d, 0);
  const part = -best.residuals.reduce((sum, r, i) => sum + r * at(apart, i), 0) / between;
  const left = best.residuals.map((r, i) => r + part * at(apart, i));
  const scatter = left.reduce((sum, r) => sum + r * r, 0) / (left.length - 3);
  const variance = Math.max(drop.noise.resolution_Pa ** 2 / 12, scatter) * correlationOf([left]);
  // Bent more than a crack's or less than a hole's, it is neither: weather, or both kinds at once.
  if (part ** 2 * between > TELLS * variance) return null;
  const apart_Pa = Math.max(...apart.map(Math.abs));
  const { adds_Pa, hides_Pa } = transientBounds(evidence);
  if (other.sse - best.sse <= TELLS * variance || TRANSIENT_BEND * Math.max(adds_Pa, hides_Pa) > apart_Pa / 2) return null;
  return best === crack ? "laminar" : "orifice";
}

interface Fitted {
  sse: number;
  residuals: Float64Array;
}

const ROUNDS = 5;

/** Gauss and Newton in two parameters. */
function fitted(leak: Leak, t: readonly number[], y: readonly number[]): Fitted | null {
  const last = y.length - 1;
  let [a, k] = leak.start(at(y, 0), at(y, last), at(t, last));
  const residuals = new Float64Array(y.length);
  for (let round = 0; round <= ROUNDS; round++) {
    const s = { aa: 0, ak: 0, kk: 0, ar: 0, kr: 0, rr: 0 };
    for (let i = 0; i < y.length; i++) {
      const x = at(t, i);
      const r = at(y, i) - leak.value(a, k, x);
      const da = leak.byA(a, k, x);
      const dk = leak.byK(a, k, x);
      residuals[i] = r;
      s.aa += da * da;
      s.ak += da * dk;
      s.kk += dk * dk;
      s.ar += da * r;
      s.kr += dk * r;
      s.rr += r * r;
    }
    if (round === ROUNDS) return Number.isFinite(s.rr) ? { sse: s.rr, residuals } : null;
    const det = s.aa * s.kk - s.ak ** 2;
    if (!(det > 0)) return null;
    a += (s.ar * s.kk - s.kr * s.ak) / det;
    k += (s.kr * s.aa - s.ar * s.ak) / det;
  }
  return null;
}
