import { slope_Pa_per_K, wetSlope_Pa_per_K } from "../physics/air.ts";
import type { Finding, RemarkCode } from "../record.ts";
import type { Evidence } from "./evidence.ts";
import { wordingOf } from "./reasons.ts";

export type Remark = Finding<RemarkCode>;

export const remark = (code: RemarkCode, text: string, figures: Record<string, number | null> = {}): Remark => ({ code, text, figures });

/** Weather is worth a word from a twentieth of the permitted drop, common practice, no source. */
const WORTH_A_WORD = 0.05;

/** Measured weather with its share of the drop, and what unmeasured weather could do. */
export const weather = (evidence: Evidence): Remark[] => [...temperature(evidence), ...barometer(evidence), ...unmeasured(evidence)];

function temperature({ drift, input }: Evidence): Remark[] {
  const { temperature: heat, air_K } = drift;
  if (!heat || !air_K || Math.abs(heat.share_Pa) <= Math.max(WORTH_A_WORD * input.limits.permittedDrop_Pa, 2 * heat.u_Pa)) return [];
  const words = wordingOf(input.limits);
  const cooled = air_K.change < 0;
  const text = `The air in the pipe ${cooled ? "cooled" : "warmed"} by ${Math.abs(air_K.change).toFixed(2)} K, which ${heat.share_Pa > 0 ? "added" : "hid"} ${words.pressure(Math.abs(heat.share_Pa))} (± ${words.pressure(2 * heat.u_Pa)}), in a wet bore up to ${words.pressure(Math.abs(heat.wet_Pa))}.`;
  const figures = { air_change_K: air_K.change, share_Pa: heat.share_Pa, u_share_Pa: heat.u_Pa, share_wet_Pa: heat.wet_Pa };
  return [remark(cooled ? "cooling" : "warming", text, figures)];
}

function barometer({ drift, input }: Evidence): Remark[] {
  const { barometer: share, ambient_Pa } = drift;
  if (!share || !ambient_Pa || Math.abs(share.share_Pa) <= Math.max(WORTH_A_WORD * input.limits.permittedDrop_Pa, 2 * share.u_Pa))
    return [];
  const words = wordingOf(input.limits);
  const rose = ambient_Pa.change > 0;
  const text = `The barometer ${rose ? "rose" : "fell"} by ${Math.abs(ambient_Pa.change / 100).toFixed(2)} hPa, which ${share.share_Pa > 0 ? "added" : "hid"} ${words.pressure(Math.abs(share.share_Pa))} (± ${words.pressure(2 * share.u_Pa)}).`;
  return [
    remark(rose ? "barometer-rising" : "barometer-falling", text, {
      ambient_change_Pa: ambient_Pa.change,
      share_Pa: share.share_Pa,
      u_share_Pa: share.u_Pa,
    }),
  ];
}

/** Air in a pipe in the sun, or out of the compressor, changes by this much in a hold; a front by that. Common practice, no source. */
const LIKELY_K = 1;
const LIKELY_hPa = 3;

/** A change that was not measured and could have turned the result: how large it would have to be. */
function unmeasured({ drift, input, sign, drop, margin }: Evidence): Remark[] {
  if (margin === null || drop.start === null) return [];
  const gauge_Pa = sign * drop.start.size_Pa;
  const passes = margin.margin_Pa >= 0;
  const needed_Pa = Math.abs(margin.margin_Pa);
  const kelvin = needed_Pa / slope_Pa_per_K(gauge_Pa);
  const kelvin_wet = needed_Pa / wetSlope_Pa_per_K(gauge_Pa);
  const hPa = needed_Pa / 100;
  // To hide a fail the size must have been held up; to explain one, taken down.
  const up = passes === sign > 0;
  const air = `${up ? "warming" : "cooling"} of the air by ${kelvin.toFixed(2)} K (${kelvin_wet.toFixed(2)} K in a wet bore)`;
  const pressure = `a ${up ? "falling" : "rising"} barometer by ${hPa.toFixed(1)} hPa`;
  const verb = passes ? "would have hidden a fail" : "would explain this fail";
  const seesBarometer = input.gauge.reference === "vented";
  const noBarometer = seesBarometer && drift.ambient_Pa === null;
  const signed = up ? 1 : -1;
  const barometerFigures = { barometer_to_turn_hPa: -signed * hPa };
  if (drift.air_K === null && kelvin_wet < LIKELY_K) {
    const text = noBarometer
      ? `Neither temperature nor barometer was measured: ${air}, or ${pressure}, ${verb}.`
      : `No air temperature was measured: ${air} ${verb}.`;
    const figures = { kelvin_to_turn: signed * kelvin, kelvin_to_turn_wet: signed * kelvin_wet };
    return [remark("no-temperature", text, noBarometer ? { ...figures, ...barometerFigures } : figures)];
  }
  if (drift.air_K !== null && noBarometer && hPa < LIKELY_hPa)
    return [remark("no-barometer", `No barometer was measured: ${pressure} ${verb}.`, barometerFigures)];
  return [];
}
