import { slope_Pa_per_K } from "../physics/air.ts";
import type { Finding, RemarkCode } from "../record.ts";
import type { Evidence } from "./evidence.ts";
import { wordingOf } from "./reasons.ts";

export type Remark = Finding<RemarkCode>;

export const remark = (code: RemarkCode, text: string, figures: Record<string, number | null> = {}): Remark => ({ code, text, figures });

/** Weather is worth a word from a twentieth of the permitted drop, common practice, no source. */
const WORTH_A_WORD = 0.05;

/** Measured weather with its share of the drop, or that none was measured. */
export function weather({ drift, input, sign, drop }: Evidence): Remark[] {
  const words = wordingOf(input.limits);
  const worth_Pa = WORTH_A_WORD * input.limits.permittedDrop_Pa;
  const found: Remark[] = [];
  const { temperature: heat, barometer, air_K, ambient_Pa } = drift;
  if (heat && air_K && Math.abs(heat.share_Pa) > Math.max(worth_Pa, 2 * heat.u_Pa)) {
    const cooled = air_K.change < 0;
    const text = `The air in the pipe ${cooled ? "cooled" : "warmed"} by ${Math.abs(air_K.change).toFixed(2)} K, which ${heat.share_Pa > 0 ? "added" : "hid"} ${words.pressure(Math.abs(heat.share_Pa))}.`;
    found.push(
      remark(cooled ? "cooling" : "warming", text, {
        air_change_K: air_K.change,
        share_Pa: heat.share_Pa,
        u_share_Pa: heat.u_Pa,
      }),
    );
  }
  if (barometer && ambient_Pa && Math.abs(barometer.share_Pa) > Math.max(worth_Pa, 2 * barometer.u_Pa)) {
    const rose = ambient_Pa.change > 0;
    const text = `The barometer ${rose ? "rose" : "fell"} by ${Math.abs(ambient_Pa.change / 100).toFixed(2)} hPa, which ${barometer.share_Pa > 0 ? "added" : "hid"} ${words.pressure(Math.abs(barometer.share_Pa))}.`;
    found.push(
      remark(rose ? "barometer-rising" : "barometer-falling", text, {
        ambient_change_Pa: ambient_Pa.change,
        share_Pa: barometer.share_Pa,
      }),
    );
  }
  const kelvinForTenth = (0.1 * input.limits.permittedDrop_Pa) / slope_Pa_per_K(sign * (drop.start?.size_Pa ?? 0));
  if (!air_K && kelvinForTenth < 0.5) {
    const text = `No air temperature was measured; ${kelvinForTenth.toFixed(2)} K of change is a tenth of the permitted drop.`;
    found.push(remark("no-temperature", text, { kelvin_for_tenth: kelvinForTenth }));
  }
  return found;
}
