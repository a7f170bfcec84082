import type { Rule } from "../record.ts";

/** Probability below `z` under the standard normal law; absolute error under 1.5e-7 (Abramowitz and Stegun 7.1.26, from memory). */
export function normalCdf(z: number): number {
  const x = Math.abs(z) / Math.SQRT2;
  const t = 1 / (1 + 0.3275911 * x);
  const poly = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
  const upper = 0.5 * poly * Math.exp(-x * x);
  return z >= 0 ? 1 - upper : upper;
}

/** What is compared with the limit: how far inside it the section stayed, and how well that is known. */
export interface Margin {
  /** Limit minus drop, or remaining pressure minus floor; negative means over the limit, Pa. */
  margin_Pa: number;
  u_Pa: number;
}

/** Probability that the true drop conforms (JCGM 106:2012, 7.2, normal law). */
export const conformance = ({ margin_Pa, u_Pa }: Margin): number => (u_Pa > 0 ? normalCdf(margin_Pa / u_Pa) : margin_Pa >= 0 ? 1 : 0);

export type Decision = "pass" | "fail" | "inconclusive";

/**
 * The method's own rule, or the guarded one (JCGM 106: accept at 95 % probability of conformance, reject at 5 %,
 * nothing proven in between).
 */
export function decide(margin: Margin, rule: Rule, boundary: "less-or-equal" | "less"): Decision {
  if (rule === "simple") {
    const inside = boundary === "less-or-equal" ? margin.margin_Pa >= 0 : margin.margin_Pa > 0;
    return inside ? "pass" : "fail";
  }
  const p = conformance(margin);
  if (p >= 0.95) return "pass";
  return p <= 0.05 ? "fail" : "inconclusive";
}
