import { at } from "../curve.ts";
import { AIR_R, STANDARD_AIR_K, STANDARD_AMBIENT_Pa } from "./air.ts";

/** How fast an opened pipe empties: through a hole √g falls in a straight line. */
export interface VentFall {
  /** −d√g/dt, √Pa/s. */
  rate: number;
  u_rate: number;
  /** Mean size of the charge on the way, Pa. */
  mean_Pa: number;
}

/** A valve takes a second or two to open, and the foot is drawn out by hose and gauge: only this part of the fall is a hole's. */
const FROM_PART = 0.8;
const TO_PART = 0.15;
/** A line and its scatter need as many readings. */
const LEAST_READINGS = 4;

/** Reads the fall off sizes of charge, from the opening on; `null` when the pipe emptied between too few readings, or did not empty. */
export function ventFall(time_s: ArrayLike<number>, size_Pa: ArrayLike<number>, full_Pa: number): VentFall | null {
  const t: number[] = [];
  const root: number[] = [];
  let low = false;
  for (let i = 0; i < time_s.length && !low; i++) {
    const size = at(size_Pa, i);
    low = size < TO_PART * full_Pa;
    if (low || size > FROM_PART * full_Pa) continue;
    t.push(at(time_s, i));
    root.push(Math.sqrt(size));
  }
  const n = t.length;
  if (!low || n < LEAST_READINGS) return null;
  const mean = (list: readonly number[]): number => list.reduce((sum, x) => sum + x, 0) / n;
  const meanT = mean(t);
  const meanRoot = mean(root);
  const tt = t.reduce((sum, x) => sum + (x - meanT) ** 2, 0);
  const slope = t.reduce((sum, x, i) => sum + (x - meanT) * at(root, i), 0) / tt;
  const sse = t.reduce((sum, x, i) => sum + (at(root, i) - meanRoot - slope * (x - meanT)) ** 2, 0);
  return slope < 0 ? { rate: -slope, u_rate: Math.sqrt(sse / (n - 2) / tt), mean_Pa: mean(root.map((r) => r * r)) } : null;
}

/**
 * ṁ = A √(2 ρ g) out of a volume V of constant temperature: −d√g/dt = A √(2 P R T)/(2 V), with P the pressure of the air that flows. A is the
 * vent's effective area (its discharge within). Real air cools as it expands; measured on a known section that is within A too.
 */
const pace = (mean_Pa: number): number => Math.sqrt(2 * (STANDARD_AMBIENT_Pa + mean_Pa) * AIR_R * STANDARD_AIR_K) / 2;

/** What a section of known volume says of the vent, m². */
export const ventArea_m2 = (volume_m3: number, { rate, mean_Pa }: VentFall): number => (volume_m3 * rate) / pace(mean_Pa);

/** What a known vent says of the section, m³. */
export const ventedVolume_m3 = (area_m2: number, { rate, mean_Pa }: VentFall): number => (area_m2 * pace(mean_Pa)) / rate;
