import type { LeakFigures } from "../record.ts";
import { AIR_R, absolute_Pa, STANDARD_AIR_K, STANDARD_AMBIENT_Pa } from "./air.ts";
import { boreArea_m2 } from "./thrust.ts";

/** Discharge of a thin sharp edge (published range 0.60 to 0.62). A real crack is not one: the hole is a figure of speech. */
const DISCHARGE = 0.61;

/** A laminar leak (crack, seal) loses pressure as p₀ exp(−K t). */
export const laminarPressure_Pa = (start_Pa: number, decay_per_s: number, time_s: number): number =>
  start_Pa * Math.exp(-decay_per_s * time_s);

/** An orifice leak loses it as (√p₀ − B t/2)² until nothing is left; B in √Pa/s. */
export const orificePressure_Pa = (start_Pa: number, b: number, time_s: number): number =>
  Math.max(0, Math.sqrt(start_Pa) - (b * time_s) / 2) ** 2;

/** K from two gauge pressures and the time between them, per second; sizes, so a vacuum may be handed in as it stands. */
export const decay_per_s = (start_Pa: number, end_Pa: number, time_s: number): number => Math.log(start_Pa / end_Pa) / time_s;

/** Air in a straight section, m³. */
export const sectionVolume_m3 = (bore_mm: number, length_m: number): number => boreArea_m2(bore_mm) * length_m;

/** Flow through the leak while the gauge falls by `fall_Pa_s`: at test pressure and as free air, m³/s. */
export function leakFlow(
  volume_m3: number,
  fall_Pa_s: number,
  gauge_Pa: number,
  ambient_Pa = STANDARD_AMBIENT_Pa,
): { at_test_m3_s: number; free_m3_s: number } {
  const fall = Math.abs(fall_Pa_s);
  return { at_test_m3_s: (volume_m3 * fall) / absolute_Pa(gauge_Pa, ambient_Pa), free_m3_s: (volume_m3 * fall) / ambient_Pa };
}

/**
 * Diameter of the sharp-edged hole that would leak as much, mm: ṁ = Cd A √(2 ρ Δp), Cd 0.61, ρ upstream (inside for pressure,
 * outside for a vacuum). Leaving compressibility out makes it 2 to 3 % small at 10 kPa and 5 % at 20 kPa. Print one digit.
 */
export function equivalentHole_mm(
  volume_m3: number,
  fall_Pa_s: number,
  gauge_Pa: number,
  ambient_Pa = STANDARD_AMBIENT_Pa,
  air_K = STANDARD_AIR_K,
): number {
  const massFlow_kg_s = (volume_m3 * Math.abs(fall_Pa_s)) / (AIR_R * air_K);
  const density_kg_m3 = Math.max(absolute_Pa(gauge_Pa, ambient_Pa), ambient_Pa) / (AIR_R * air_K);
  const area_m2 = massFlow_kg_s / (DISCHARGE * Math.sqrt(2 * density_kg_m3 * Math.abs(gauge_Pa)));
  return Math.sqrt((4 / Math.PI) * area_m2) * 1000;
}

/** Air the section holds by what was told of it, m³; `null` when size or length were not. */
export function toldVolume_m3({ volume_m3, dn_mm, laid_length_m }: Pick<HoldEnds, "volume_m3" | "dn_mm" | "laid_length_m">): number | null {
  if (volume_m3 !== undefined) return volume_m3;
  return dn_mm === null || laid_length_m === null ? null : sectionVolume_m3(dn_mm, laid_length_m);
}

export interface HoldEnds {
  /** Gauge pressures at the two ends of the hold, negative for a vacuum. */
  start_Pa: number;
  end_Pa: number;
  time_s: number;
  dn_mm: number | null;
  laid_length_m: number | null;
  /** Air in the section with its branches, where told; else a straight pipe of that size and length is taken. */
  volume_m3?: number;
  ambient_Pa?: number;
}

/**
 * What a hold says about the leak: K per minute, litres per minute at the start pressure and as free air, equivalent hole.
 * Flows are `null` without DN and length; all are when the ends cannot be a leak's (nothing lost, all lost, sign turned).
 */
export function leakFigures({ start_Pa, end_Pa, time_s, ambient_Pa = STANDARD_AMBIENT_Pa, ...told }: HoldEnds): LeakFigures {
  const ratio = start_Pa / end_Pa;
  if (!(time_s > 0) || !Number.isFinite(ratio) || ratio <= 0)
    return { decay_per_min: null, rate_L_min: null, free_air_L_min: null, hole_mm: null };
  const k_per_s = decay_per_s(start_Pa, end_Pa, time_s);
  const volume_m3 = toldVolume_m3(told);
  if (volume_m3 === null || k_per_s < 0) return { decay_per_min: k_per_s * 60, rate_L_min: null, free_air_L_min: null, hole_mm: null };
  const flow = leakFlow(volume_m3, k_per_s * start_Pa, start_Pa, ambient_Pa);
  return {
    decay_per_min: k_per_s * 60,
    rate_L_min: flow.at_test_m3_s * 60_000,
    free_air_L_min: flow.free_m3_s * 60_000,
    hole_mm: equivalentHole_mm(volume_m3, k_per_s * start_Pa, start_Pa, ambient_Pa),
  };
}
