import { canonicalUnit, toUnit, type UnitName } from "../core/units.ts";

/** How pressures of one method are written: its own unit, and as many decimals as its permitted drop makes useful. */
export interface PressureScale {
  unit: UnitName;
  decimals: number;
  /** Every figure is padded to this many characters, so that nothing on a screen shifts. */
  width: number;
}

/** What a permitted drop is taken to be where a line is written without one: that of the finest common methods. */
const FINE_DROP_Pa = 250;

/**
 * The last digit stands for at most a hundredth of the permitted drop (a judge reads the drop to a tenth, the crew wants to
 * see it move). A unit nobody knows is written in pascal: a wrong unit beside a figure would be worse than a plain one.
 */
export function pressureScale(unitName: string, permittedDrop_Pa = FINE_DROP_Pa, top_Pa = 0): PressureScale {
  const unit = canonicalUnit(unitName) ?? "Pa";
  const drop_Pa = Number.isFinite(permittedDrop_Pa) && permittedDrop_Pa !== 0 ? Math.abs(permittedDrop_Pa) : FINE_DROP_Pa;
  // A thousandth of slack: 6894.757 Pa is one psi, though not to the last digit.
  const decimals = Math.min(4, Math.max(0, Math.ceil(2 - Math.log10(toUnit(drop_Pa, unit)) - 0.001)));
  const width = toUnit(Math.abs(top_Pa), unit).toFixed(decimals).length + (top_Pa < 0 ? 1 : 0);
  return { unit, decimals, width };
}

/** A pressure without its unit; dashes when there is none. Never "-0.0". */
export function figure(scale: PressureScale, pressure_Pa: number | null): string {
  if (pressure_Pa === null || !Number.isFinite(pressure_Pa)) return "--".padStart(scale.width);
  const text = toUnit(pressure_Pa, scale.unit).toFixed(scale.decimals);
  return (/^-[0.]*$/.test(text) ? text.slice(1) : text).padStart(scale.width);
}

/** A pressure with its unit, unpadded, for running text. */
export const pressure = (scale: PressureScale, pressure_Pa: number | null): string => `${figure(scale, pressure_Pa).trim()} ${scale.unit}`;

/**
 * Seconds as m:ss. What has passed is rounded down and what is left is rounded up ("0:00" is said only when nothing is left).
 */
export function duration(seconds: number | null, round: "down" | "up" = "down"): string {
  if (seconds === null || !Number.isFinite(seconds)) return "-:--";
  // A countdown of 60.0000001 s is one minute, not a minute and a second.
  const steady = Math.round(Math.max(0, seconds) * 1000) / 1000;
  const whole = round === "up" ? Math.ceil(steady) : Math.floor(steady);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

/** A volume of water; the measure is read to a tenth, a small limit wants a hundredth. */
export const litres = (volume_L: number | null): string =>
  volume_L === null || !Number.isFinite(volume_L) ? "-- L" : `${volume_L.toFixed(2)} L`;

/** A probability as a percentage that never claims certainty. */
export function probability(p: number | null): string {
  if (p === null || !Number.isFinite(p)) return "unknown";
  if (p > 0.999) return "over 99.9 %";
  if (p < 0.001) return "under 0.1 %";
  return `${(p * 100).toFixed(p > 0.99 || p < 0.01 ? 1 : 0)} %`;
}

/** A figure to so many significant digits in plain notation, for leaks and the like. */
export function significant(value: number | null, digits: number): string {
  if (value === null || !Number.isFinite(value)) return "unknown";
  if (value === 0) return "0";
  const rounded = Number(value.toPrecision(digits));
  const place = digits - 1 - Math.floor(Math.log10(Math.abs(rounded)));
  return rounded.toFixed(Math.min(12, Math.max(0, place)));
}

/** A part of a whole; dashes when there is none. */
export const percent = (part: number | null): string => (part === null ? "--" : `${Math.round(part * 100)} %`);
