import type { Evidence } from "./evidence.ts";
import { reason, wordingOf } from "./reasons.ts";
import type { Spoiler } from "./spoilers.ts";

/** The air's own settling after the pump is weighed as such; only what its temperature did beyond that is weather. */
function beyondSettling(share_Pa: number, coming_Pa: number | null): number {
  if (coming_Pa === null || coming_Pa * share_Pa <= 0) return share_Pa;
  return Math.sign(share_Pa) * Math.max(0, Math.abs(share_Pa) - Math.abs(coming_Pa));
}

/** Measured weather, or a gauge whose zero wandered, decides when the result would be the other one without it. */
export function driftSpoilers({ drift, zero, drop, margin, input, u_Pa }: Evidence): Spoiler[] {
  if (drop.drop_Pa === null || margin === null) return [];
  const words = wordingOf(input.limits);
  const heat = drift.temperature && { ...drift.temperature, share_Pa: beyondSettling(drift.temperature.share_Pa, input.settled.coming_Pa) };
  const zeroShare = zero.share_Pa === null ? null : { share_Pa: zero.share_Pa, u_Pa: Math.max(u_Pa, drop.noise.resolution_Pa) };
  const parts = [
    { code: "drift-decides-temperature", name: "the air in the pipe changing temperature", share: heat },
    { code: "drift-decides-barometer", name: "the barometer", share: drift.barometer },
    { code: "zero-drift-decides", name: "the gauge's zero wandering", share: zeroShare },
  ] as const;
  const known = parts
    .flatMap((p) => (p.share === null ? [] : [{ ...p, share_Pa: p.share.share_Pa, u_Pa: p.share.u_Pa }]))
    .filter((p) => Math.abs(p.share_Pa) > 2 * p.u_Pa);
  const total_Pa = known.reduce((sum, p) => sum + p.share_Pa, 0);
  const turns = (share_Pa: number): boolean => margin.margin_Pa >= 0 !== margin.margin_Pa + share_Pa >= 0;
  return known
    .filter((p) => turns(p.share_Pa) || (turns(total_Pa) && !turns(total_Pa - p.share_Pa)))
    .map((p) => {
      const adds = p.share_Pa > 0;
      const text = `${words.pressure(Math.abs(p.share_Pa))} of the drop was ${adds ? "added" : "hidden"} by ${p.name}; without that the result would be the other one.`;
      const figures = { share_Pa: p.share_Pa, u_share_Pa: p.u_Pa, drop_Pa: drop.drop_Pa, share_of_all_Pa: total_Pa };
      return { reason: reason(p.code, text, figures), pass: !adds, fail: adds };
    });
}
