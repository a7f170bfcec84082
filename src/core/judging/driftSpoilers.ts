import { type Budget, combined_Pa } from "./drop.ts";
import type { Evidence } from "./evidence.ts";
import { reason, wordingOf } from "./reasons.ts";
import type { Spoiler } from "./spoilers.ts";

/** The air's own settling after the pump is weighed as such; only what its temperature did beyond that is weather. */
function beyondSettling(share_Pa: number, coming_Pa: number | null): number {
  if (coming_Pa === null || coming_Pa * share_Pa <= 0) return share_Pa;
  return Math.sign(share_Pa) * Math.max(0, Math.abs(share_Pa) - Math.abs(coming_Pa));
}

interface Part {
  code: "drift-decides-temperature" | "drift-decides-barometer" | "zero-drift-decides";
  name: string;
  share_Pa: number;
  /** The largest it can be: a wet bore. Decides; for all but temperature the same. */
  most_Pa: number;
  u_Pa: number;
}

/** Concrete called dry has been asked about; every other bore may be wet from rain, rinsing or the trench. */
const mayBeWet = ({ input }: Evidence): boolean => input.limits.material !== "dry-concrete";

function partsOf(evidence: Evidence, budget: Budget): Part[] {
  const { drift, zero, drop, input, sign } = evidence;
  const parts: Part[] = [];
  if (drift.temperature) {
    const { share_Pa, wet_Pa, u_Pa } = drift.temperature;
    const dry_Pa = beyondSettling(share_Pa, input.settled.coming_Pa);
    const most_Pa = mayBeWet(evidence) ? beyondSettling(wet_Pa, input.settled.coming_Pa) : dry_Pa;
    parts.push({ code: "drift-decides-temperature", name: "the air in the pipe changing temperature", share_Pa: dry_Pa, most_Pa, u_Pa });
  }
  if (drift.barometer)
    parts.push({ code: "drift-decides-barometer", name: "the barometer", most_Pa: drift.barometer.share_Pa, ...drift.barometer });
  // A difference cancels the zero; what must remain is read with it.
  const offset_Pa = input.limits.floor_Pa === null || zero.before_Pa === null ? 0 : -sign * zero.before_Pa;
  if (zero.share_Pa !== null || offset_Pa !== 0) {
    const share_Pa = (zero.share_Pa ?? 0) + offset_Pa;
    const u_Pa = Math.max(combined_Pa({ ...budget, zero_Pa: 0 }), drop.noise.resolution_Pa);
    parts.push({ code: "zero-drift-decides", name: "the gauge's zero wandering", share_Pa, most_Pa: share_Pa, u_Pa });
  }
  return parts.filter((p) => Math.abs(p.most_Pa) > 2 * p.u_Pa);
}

/** Measured weather, or a gauge whose zero wandered, decides when the result would be the other one without it. */
export function driftSpoilers(evidence: Evidence): Spoiler[] {
  const { drop, margin, input } = evidence;
  if (drop.drop_Pa === null || drop.budget === null || margin === null) return [];
  const words = wordingOf(input.limits);
  const known = partsOf(evidence, drop.budget);
  const total_Pa = known.reduce((sum, p) => sum + p.most_Pa, 0);
  const turns = (share_Pa: number): boolean => margin.margin_Pa >= 0 !== margin.margin_Pa + share_Pa >= 0;
  return known
    .filter((p) => turns(p.most_Pa) || (turns(total_Pa) && !turns(total_Pa - p.most_Pa)))
    .map((p) => {
      const adds = p.share_Pa > 0;
      const wet = p.most_Pa === p.share_Pa ? "" : ` (${words.pressure(Math.abs(p.most_Pa))} if the bore is wet)`;
      const text = `${words.pressure(Math.abs(p.share_Pa))}${wet} of the drop was ${adds ? "added" : "hidden"} by ${p.name}; without that the result would be the other one.`;
      const figures = { share_Pa: p.share_Pa, most_Pa: p.most_Pa, u_share_Pa: p.u_Pa, drop_Pa: drop.drop_Pa, share_of_all_Pa: total_Pa };
      return { reason: reason(p.code, text, figures), pass: p.most_Pa < 0, fail: p.most_Pa > 0 };
    });
}
