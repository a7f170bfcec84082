import { toUnit, type UnitName } from "../units.ts";

/** Pascal in one millimetre of water gauge, and in one inch of mercury and one psi, through the units' own definitions. */
export const mm_Pa = (height_mm: number): number => (height_mm * 980_665) / 100_000;
export const psi_Pa = (pressure_psi: number): number => (pressure_psi * 0.45359237 * 9.80665) / 0.0254 ** 2;
export const inHg_Pa = (pressure_inHg: number): number => pressure_inHg * 3386.388640341;
export const FOOT_m = 0.3048;

/** A figure for people: at most six digits, no trailing zeros. */
export const figure = (value: number): string => String(Number(value.toPrecision(6)));

/** "110 mbar" */
export const inUnit = (pressure_Pa: number, unit: UnitName): string => `${figure(toUnit(pressure_Pa, unit))} ${unit}`;

/** "4 min", "1.5 min", "45 s", and "2 min 38 s" where tenths of a minute do not say it. */
export function inMinutes(time_s: number): string {
  if (time_s < 60) return `${figure(time_s)} s`;
  if (time_s % 6 === 0) return `${figure(time_s / 60)} min`;
  return `${Math.floor(time_s / 60)} min ${figure(time_s % 60)} s`;
}
