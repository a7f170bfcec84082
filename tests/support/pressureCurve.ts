import type { Curve } from "../../src/core/curve.ts";
import { finish } from "../../src/core/methods/finish.ts";
import type { Limits } from "../../src/core/methods/limits.ts";
import type { GaugeFacts } from "../../src/core/record.ts";

/** Numbers in 0 … 1 that are the same in every run (a linear congruential generator). */
export function chance(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state * 1_664_525 + 1_013_904_223) >>> 0;
    return state / 4_294_967_296;
  };
}

/** Normal deviates by Box and Muller. */
export function normal(seed: number): () => number {
  const next = chance(seed);
  return () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
}

export interface CurveWishes {
  from_s?: number;
  to_s: number;
  interval_s?: number;
  noise_Pa?: number;
  resolution_Pa?: number;
  seed?: number;
  air_C?: (t: number) => number;
  ambient_Pa?: (t: number) => number;
}

/** Readings of a pressure that is known as a function of time. */
export function curveOf(pressure_Pa: (t: number) => number, wishes: CurveWishes): Curve {
  const { from_s = 0, to_s, interval_s = 1, noise_Pa = 0, resolution_Pa = 0, seed = 1, air_C, ambient_Pa } = wishes;
  const deviate = normal(seed);
  const time_s = Float64Array.from({ length: Math.floor((to_s - from_s) / interval_s + 1e-9) + 1 }, (_, i) => from_s + i * interval_s);
  const shown = (p: number): number => (resolution_Pa > 0 ? Math.round(p / resolution_Pa) * resolution_Pa : p);
  return {
    time_s,
    pressure_Pa: time_s.map((t) => shown(pressure_Pa(t) + noise_Pa * deviate())),
    air_C: air_C ? time_s.map((t) => air_C(t)) : null,
    ambient_Pa: ambient_Pa ? time_s.map((t) => ambient_Pa(t)) : null,
  };
}

/** EN 1610 LA for DN 100: 10 mbar, 2.5 mbar in 5 min. Anything may be said differently. */
export const limitsWith = (wishes: Partial<Limits> = {}): Limits => ({
  ...finish(
    {
      method: { id: "en1610-la", title: "EN 1610 LA", source: "EN 1610:2015" },
      charge_Pa: 1100,
      settle_s: 300,
      test_Pa: 1000,
      hold_s: 300,
      permittedDrop_Pa: 250,
      boundary: "less-or-equal",
      provenance: "",
      working: [],
      unit: "mbar",
    },
    { dn_mm: 100, material: null, laid_length_m: 30 },
  ),
  ...wishes,
});

export const gaugeWith = (wishes: Partial<GaugeFacts> = {}): GaugeFacts => ({
  url: "",
  protocol: "csv",
  reference: "vented",
  resolution_Pa: 1,
  accuracy_fraction: null,
  accuracy_Pa: null,
  ...wishes,
});

export interface CrewWishes {
  limits: Limits;
  /** Leak as a multiple of the one that just loses the permitted drop over the hold. */
  leak: number;
  /** Air's time constant, s. */
  tau_s?: number;
  /** Where the crew tops up to after settling; absent: not at all. */
  topUpTo_Pa?: number;
  /** How long after the end of settling the pipe is opened, s. */
  openAfter_s: number;
}

/**
 * A whole test as a function of time, in closed form: 10 s of nothing, a charge of 30 s whose heat (0.286 of it) dies with the air's time
 * constant, a laminar leak, a top-up at the end of the settling time, a valve opened (three quarters gone each second).
 * Written for the judges' tests alone; it leans on none of the judges' formulas.
 */
export function wholeTest({ limits, leak, tau_s = 25, topUpTo_Pa, openAfter_s }: CrewWishes): {
  pressure_Pa: (t: number) => number;
  end_s: number;
} {
  const charge_Pa = Math.abs(limits.charge_Pa);
  const test_Pa = Math.abs(limits.test_Pa);
  const k_per_s = (leak * Math.log(test_Pa / (test_Pa - limits.permittedDrop_Pa))) / limits.hold_s;
  const charged_s = 40;
  const topUp_s = charged_s + limits.settle_s + 10;
  const open_s = topUp_s + openAfter_s;
  const heat = 0.286;
  const fading = (from_Pa: number, step_Pa: number, t: number): number =>
    (from_Pa - heat * step_Pa) * Math.exp(-k_per_s * t) + heat * step_Pa * Math.exp(-t / tau_s);
  const settled_Pa = fading(charge_Pa, charge_Pa, topUp_s - charged_s);
  const closed = (t: number): number => {
    if (t < 10) return 0;
    if (t < charged_s) return (charge_Pa * (t - 10)) / (charged_s - 10);
    if (topUpTo_Pa === undefined || t < topUp_s) return fading(charge_Pa, charge_Pa, t - charged_s);
    if (t < topUp_s + 8) return settled_Pa + ((topUpTo_Pa - settled_Pa) * (t - topUp_s)) / 8;
    return fading(topUpTo_Pa, topUpTo_Pa - settled_Pa, t - topUp_s - 8);
  };
  const sign = limits.test_Pa < 0 ? -1 : 1;
  return {
    pressure_Pa: (t) => sign * (t <= open_s ? closed(t) : closed(open_s) * 0.25 ** (t - open_s)),
    end_s: open_s + 20,
  };
}
