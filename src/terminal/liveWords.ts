import type { Noise } from "../core/judging/noise.ts";
import type { Rate } from "../core/live/rate.ts";
import type { GaugeView, Loss } from "../core/live/view.ts";
import { plainText } from "../core/text.ts";
import { toUnit, type UnitName } from "../core/units.ts";
import { duration, figure, type PressureScale, pressure, pressureScale, significant } from "./figures.ts";

/** Figures of a watched gauge in words; the screen and the plain lines use the same. */

/** A change a minute, signed, in the unit's own figures; fewer decimals where it is large. Never "-0.00". */
export function rateFigure(rate_Pa_min: number | null, unit: UnitName): string {
  if (rate_Pa_min === null || !Number.isFinite(rate_Pa_min)) return "--";
  const value = toUnit(rate_Pa_min, unit);
  const fine = pressureScale(unit).decimals + 1;
  const decimals = Math.max(0, fine - Math.max(0, Math.floor(Math.log10(Math.max(1, Math.abs(value))))));
  const text = value.toFixed(decimals);
  return /^-[0.]*$/.test(text) ? text.slice(1) : text;
}

/** `-5.03 ± 0.04`: the band is twice the standard uncertainty. */
function rateWithBand(rate: Rate | null, unit: UnitName): string {
  if (rate === null) return "--";
  const value = rateFigure(rate.rate_Pa_s * 60, unit);
  return rate.u_Pa_s === null ? value : `${value} ± ${significant(toUnit(rate.u_Pa_s * 120, unit), 2)}`;
}

export const rateWords = ({ quick, steady }: Pick<GaugeView, "quick" | "steady">, unit: UnitName): string => {
  if (quick === null) return "rate  not yet known";
  const long =
    steady === null || steady.over_s < 2 * quick.over_s ? "" : `, over ${steady.over_s.toFixed(0)} s ${rateWithBand(steady, unit)}`;
  return `rate  over ${quick.over_s.toFixed(0)} s ${rateWithBand(quick, unit)}${long} ${unit}/min (95 %)`;
};

/** Litres a minute, or why there are none. */
export function leakWords(loss: Loss | null, pipe: string | null): string {
  if (pipe === null) return "leak  in L/min: give --dn and --laid-length";
  if (loss === null) return "leak  not yet known";
  if (loss.rate_L_min === null || !loss.plain) return `leak  none to be told from the pressure (${pipe})`;
  return `leak  ${significant(loss.rate_L_min, 2)} L/min at this pressure, ${significant(loss.free_air_L_min, 2)} L/min of free air (${pipe})`;
}

export function noiseWords(noise: Noise | null): string {
  if (noise === null) return "noise not yet known";
  const step = noise.resolution_Pa > 0 ? `steps of ${significant(noise.resolution_Pa, 3)} Pa` : "no steps to be seen";
  const worth = noise.correlation < 1.05 ? "each counts for itself" : `${significant(noise.correlation, 2)} count as one`;
  return `noise ${significant(noise.sigma_Pa, 2)} Pa a reading (sd), ${worth} · ${step}`;
}

/** Air, barometer and zero, as far as there are any. */
export function sideWords(view: GaugeView): string {
  const parts: string[] = [];
  if (view.air_C !== null) parts.push(`air ${view.air_C.toFixed(1)} °C`);
  if (view.ambient_Pa !== null) parts.push(`barometer ${(view.ambient_Pa / 100).toFixed(1)} hPa`);
  parts.push(view.zero === null ? "no zero taken" : `zero of ${significant(view.zero.zero_Pa, 3)} Pa taken at ${duration(view.zero.at_s)}`);
  return parts.join(" · ");
}

/** What the crew should know of the figure itself; `null`: it is a live one. */
export function figureTrouble(view: GaugeView): string | null {
  if (!view.health.up) return "line down";
  if (view.pressureAt_s === null) return view.status === null ? "no reading yet" : `the gauge says: ${plainText(view.status, 40)}`;
  if (view.status !== null) return `the gauge says: ${plainText(view.status, 40)}`;
  return view.stale ? `no reading for ${duration(view.health.silent_s)}` : null;
}

/** The pressure, dashes in place of an old one. */
export const liveFigure = (view: GaugeView, scale: PressureScale): string => figure(scale, view.stale ? null : view.pressure_Pa).trim();

/** One line a second for whoever has no screen. */
export function liveLine(view: GaugeView, unit: UnitName, pipe: string | null): string {
  const scale = pressureScale(unit);
  const trouble = figureTrouble(view);
  const parts = [`${duration(view.at_s).padStart(6)}  ${trouble ?? pressure(scale, view.pressure_Pa)}`];
  if (view.quick !== null) parts.push(`${rateWithBand(view.quick, unit)} ${unit}/min`);
  if (view.loss?.plain && view.loss.rate_L_min !== null && pipe !== null) parts.push(`${significant(view.loss.rate_L_min, 2)} L/min`);
  if (view.air_C !== null) parts.push(`air ${view.air_C.toFixed(1)} °C`);
  if (view.ambient_Pa !== null) parts.push(`barometer ${(view.ambient_Pa / 100).toFixed(1)} hPa`);
  if (view.health.rate_Hz !== null) parts.push(`${view.health.rate_Hz.toFixed(1)}/s`);
  return parts.join(" · ");
}
