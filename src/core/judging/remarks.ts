import { at } from "../curve.ts";
import { plugMovement_Pa } from "../physics/air.ts";
import { conformance, type Decision } from "./decide.ts";
import type { Evidence } from "./evidence.ts";
import { groundwaterRemarks } from "./groundwater.ts";
import { indexFrom } from "./lineAt.ts";
import { wordingOf } from "./reasons.ts";
import type { Spoiler } from "./spoilers.ts";
import { suspicions } from "./suspicion.ts";
import { isSettled } from "./unsettled.ts";
import { volumeRemarks } from "./ventedVolume.ts";
import { type Remark, remark, weather } from "./weatherRemarks.ts";

/** The expert's eye: figures beside the verdict, never a correction of it. */
export function remarksOf(evidence: Evidence, result: { decision: Decision | null; spoilers: readonly Spoiler[] }): Remark[] {
  return [
    ...weather(evidence),
    ...behaviour(evidence),
    ...suspicions(evidence),
    ...doubt(evidence, result.decision),
    ...gaugeRemarks(evidence),
    ...startRemarks(evidence, result.spoilers),
    ...shortSection(evidence),
    ...groundwaterRemarks(evidence),
    ...volumeRemarks(evidence),
    ...readingRemarks(evidence),
  ];
}

function behaviour({ drop, input, u_Pa }: Evidence): Remark[] {
  const words = wordingOf(input.limits);
  const { permittedDrop_Pa } = input.limits;
  const { noise } = drop;
  const found: Remark[] = [];
  if (noise.sigma_Pa > Math.max(0.02 * permittedDrop_Pa, 0.02 * Math.abs(drop.drop_Pa ?? 0), noise.resolution_Pa)) {
    const text = `Readings wander by ± ${words.pressure(noise.sigma_Pa)} about their trend, as in wind.`;
    found.push(
      remark("wind", text, {
        sigma_Pa: noise.sigma_Pa,
        correlated_readings: noise.correlation,
      }),
    );
  }
  if (drop.drop_Pa !== null && drop.drop_Pa < -Math.max(2 * u_Pa, 0.01 * permittedDrop_Pa)) {
    const text = `The pressure rose by ${words.pressure(-drop.drop_Pa)} during the hold: warming or a falling barometer can hide a leak.`;
    found.push(remark("rising-curve", text, { rise_Pa: -drop.drop_Pa }));
  }
  return found;
}

/** What the uncertainty is made of, each a standard uncertainty. */
const budgetOf = ({ budget }: Evidence["drop"]): Record<string, number> =>
  budget === null ? {} : Object.fromEntries(Object.entries(budget).map(([part, u_Pa]) => [`u_${part}`, u_Pa]));

function doubt({ margin, input, drop }: Evidence, decision: Decision | null): Remark[] {
  if (margin === null || decision === null) return [];
  const p = conformance(margin);
  if (p <= 0.05 || p >= 0.95) return [];
  const simple = margin.margin_Pa > 0 || (margin.margin_Pa === 0 && input.limits.boundary === "less-or-equal") ? "pass" : "fail";
  const text = `The result lies within the uncertainty of the limit (${Math.round(100 * p)} % that the drop conforms); the simple rule alone says ${simple}.`;
  return [
    remark("borderline", text, {
      probability_conforming: p,
      margin_Pa: margin.margin_Pa,
      u_Pa: margin.u_Pa,
      ...budgetOf(drop),
    }),
  ];
}

/** EN 1610 asks for the time of the test to 5 s (and the drop to a tenth of what is permitted), from memory. */
const TIME_TO_S = 5;

function gaugeRemarks(evidence: Evidence): Remark[] {
  const { drop, input, u_Pa } = evidence;
  const words = wordingOf(input.limits);
  const tenth_Pa = 0.1 * input.limits.permittedDrop_Pa;
  const found: Remark[] = [];
  const slow = drop.noise.interval_s > TIME_TO_S;
  if (slow) {
    const text = `The gauge is too coarse for this method: a reading every ${words.duration(drop.noise.interval_s)}, the time is to be known to ${TIME_TO_S} s.`;
    found.push(remark("gauge-too-coarse", text, { interval_s: drop.noise.interval_s, allowed_s: TIME_TO_S }));
  } else if (drop.noise.resolution_Pa > tenth_Pa || 2 * u_Pa > tenth_Pa) {
    const text = `The gauge is too coarse for this method: steps of ${words.pressure(drop.noise.resolution_Pa)}, drop known to ± ${words.pressure(2 * u_Pa)}, a tenth of the permitted drop is ${words.pressure(tenth_Pa)}.`;
    found.push(
      remark("gauge-too-coarse", text, {
        resolution_Pa: drop.noise.resolution_Pa,
        u_drop_Pa: u_Pa,
        tenth_Pa,
        ...budgetOf(drop),
      }),
    );
  }
  const zero_Pa = evidence.zero.before_Pa;
  if (zero_Pa !== null && Math.abs(zero_Pa) > Math.max(2 * drop.noise.resolution_Pa, 3 * drop.noise.sigma_Pa, 0.2 * tenth_Pa)) {
    const text = `The gauge read ${words.change(zero_Pa)} before charging; a difference cancels it.`;
    found.push(remark("zero-offset", text, { zero_Pa }));
  }
  return [...found, ...storedZero(evidence)];
}

/** An absolute gauge's zero belongs to the atmosphere of the moment it was stored in. */
function storedZero({ input, hold }: Evidence): Remark[] {
  const { ambient_Pa, time_s } = input.curve;
  const i = indexFrom(time_s, hold.from_s);
  if (input.gauge.reference !== "absolute" || ambient_Pa === null || i >= time_s.length) return [];
  const moved_Pa = at(ambient_Pa, i) - at(ambient_Pa, 0);
  if (!(Math.abs(moved_Pa) > 0.02 * input.limits.permittedDrop_Pa)) return [];
  const words = wordingOf(input.limits);
  const text = `The barometer moved by ${words.change(moved_Pa)} between the zero of this absolute gauge and the hold: every reading is off by as much; the drop is not, for such a gauge does not see the barometer.`;
  return [remark("zero-offset", text, { ambient_since_zero_Pa: moved_Pa })];
}

function startRemarks(evidence: Evidence, spoilers: readonly Spoiler[]): Remark[] {
  const { input, drop, sign } = evidence;
  const words = wordingOf(input.limits);
  const found: Remark[] = [];
  const off_Pa = (drop.start?.size_Pa ?? 0) - sign * input.limits.test_Pa;
  if (off_Pa > 0 && spoilers.some((s) => s.reason.code === "start-out-of-tolerance")) {
    const text = `The hold started ${words.pressure(off_Pa)} above the test pressure; that can only make the drop larger.`;
    found.push(remark("high-start", text, { off_Pa }));
  }
  if (!isSettled(evidence)) {
    const text = "The pressure was still settling when the hold began.";
    found.push(
      remark("unsettled-start", text, {
        coming_Pa: input.settled.coming_Pa,
        u_coming_Pa: input.settled.u_coming_Pa,
      }),
    );
  }
  return found;
}

/** A plug creeps by some millimetres; in a short section that alone is a large part of the limit. */
const PLUG_CREEP_MM = 5;

function shortSection({ input, drop, sign }: Evidence): Remark[] {
  const { laid_length_m, permittedDrop_Pa } = input.limits;
  if (laid_length_m === null || laid_length_m <= 0) return [];
  const creep_Pa = plugMovement_Pa(sign * (drop.start?.size_Pa ?? 0), PLUG_CREEP_MM, laid_length_m);
  if (creep_Pa < 0.5 * permittedDrop_Pa) return [];
  const text = `In so short a section a plug creeping by ${PLUG_CREEP_MM} mm changes the pressure by ${wordingOf(input.limits).pressure(creep_Pa)}.`;
  return [remark("short-section", text, { creep_Pa, laid_length_m })];
}

function readingRemarks({ input, inside, hold }: Evidence): Remark[] {
  const found: Remark[] = [];
  const gaps = inside.flatMap((i) => (i.kind === "gap" ? [i] : []));
  const longest_s = Math.max(0, ...gaps.map((g) => g.gap_s));
  if (gaps.length > 0) {
    const text = `Readings are missing in the hold: ${gaps.length === 1 ? "once" : `${gaps.length} times`}, for up to ${Math.round(longest_s)} s.`;
    found.push(remark("gap", text, { gaps: gaps.length, longest_s }));
  }
  const notes = input.notes;
  if (notes && notes.duplicates + notes.outOfOrder > 0) {
    const text = `${notes.outOfOrder} readings came out of order and ${notes.duplicates} twice; they were put in order by their stamps.`;
    found.push(
      remark("out-of-order", text, {
        out_of_order: notes.outOfOrder,
        duplicates: notes.duplicates,
      }),
    );
  }
  // Strokes of a pump leave sharp corners in the hose; only what was left out of the hold touches the result.
  const spikes = notes?.spikes.filter(({ at_s }) => at_s >= hold.from_s && at_s <= hold.to_s).length ?? 0;
  if (spikes > 0) {
    const text = `${spikes} single readings of the hold stood apart from their neighbours and were left out; they stay drawn.`;
    found.push(remark("spikes", text, { spikes }));
  }
  return found;
}
