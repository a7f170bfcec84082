import { leakFigures } from "../physics/leak.ts";
import type { HoldFigures, LeakFigures, Verdict } from "../record.ts";
import { conformance, type Decision } from "./decide.ts";
import { type Evidence, evidenceOf } from "./evidence.ts";
import { timeToFall } from "./fallTime.ts";
import type { HoldCase } from "./holdCase.ts";
import { leakKind } from "./leakKind.ts";
import { inOrder, type Reason, reason, wordingOf } from "./reasons.ts";
import { remarksOf } from "./remarks.ts";
import { incidentReason, type Spoiler, spoilersOf, spoils } from "./spoilers.ts";
import { isSettled, transientBounds, transientDecides } from "./unsettled.ts";

export type HoldVerdict = Pick<Verdict, "verdict" | "reasons" | "hold" | "leak" | "remarks">;

const NO_LEAK: LeakFigures = {
  decay_per_min: null,
  rate_L_min: null,
  free_air_L_min: null,
  hole_mm: null,
};

/** The part both judges share: from a hold as made to the verdict with its reasons, figures and remarks. */
export function judgeHold(input: HoldCase): HoldVerdict {
  if (input.hold === null || input.hold.to_s <= input.hold.from_s) return withoutHold(input);
  const evidence = evidenceOf(input, input.hold);
  const decision = decisionOf(evidence);
  const spoilers = spoilersOf(evidence);
  const spoiling = reasonsOf(evidence, spoilers, decision);
  const gross = grossLeak(input);
  const told = {
    hold: holdFigures(evidence),
    leak: leakOf(evidence),
    remarks: remarksOf(evidence, { decision, spoilers }),
  };
  if (spoiling.length > 0 && gross) return { verdict: "fail", reasons: [gross], ...told };
  if (spoiling.length > 0 || decision === null) return { verdict: "void", reasons: inOrder(spoiling), ...told };
  return {
    verdict: decision,
    reasons: decidedReasons(evidence, decision),
    ...told,
  };
}

/** Why it failed, or what left it open where the limit alone did not; a pass needs no reason. */
function decidedReasons(evidence: Evidence, decision: Decision): Reason[] {
  if (decision === "fail") return [overLimit(evidence)];
  return decision === "inconclusive" && evidence.raw !== "inconclusive" ? [transientDecides(evidence)] : [];
}

/** What spoils this result; an unsettled start is told along with it, since it says what to do next time. */
function reasonsOf(evidence: Evidence, spoilers: readonly Spoiler[], decision: Decision | null): Reason[] {
  const spoiling = spoilers.filter((s) => spoils(s, decision));
  if (spoiling.length === 0) return [];
  const unsettled = (s: Spoiler): boolean => s.reason.code === "not-settled" && !isSettled(evidence);
  return spoilers.filter((s) => spoiling.includes(s) || unsettled(s)).map((s) => s.reason);
}

/** The rule's answer; under the guarded rule a tolerated transient that may have turned the result leaves it open. */
function decisionOf(evidence: Evidence): Decision | null {
  const { raw, margin, input } = evidence;
  if (input.rule === "simple" || margin === null || input.settled.coming_Pa === null || !isSettled(evidence)) return raw;
  const { adds_Pa, hides_Pa } = transientBounds(evidence);
  if (raw === "pass" && margin.margin_Pa < hides_Pa) return "inconclusive";
  return raw === "fail" && margin.margin_Pa + adds_Pa > 0 ? "inconclusive" : raw;
}

function grossLeak({ gross, limits }: HoldCase): Reason | null {
  if (gross === null || gross.smallestDrop_Pa <= limits.permittedDrop_Pa) return null;
  const words = wordingOf(limits);
  const text = `The pressure cannot be held: at least ${words.pressure(gross.smallestDrop_Pa)} was lost, ${words.pressure(limits.permittedDrop_Pa)} is permitted.`;
  return reason("gross-leak", text, {
    drop_Pa: gross.smallestDrop_Pa,
    permitted_Pa: limits.permittedDrop_Pa,
  });
}

function withoutHold(input: HoldCase): HoldVerdict {
  const { limits, settled } = input;
  const told = { hold: emptyHold(input), leak: NO_LEAK, remarks: [] };
  const gross = grossLeak(input);
  if (gross) return { verdict: "fail", reasons: [gross], ...told };
  const words = wordingOf(limits);
  const reasons: Reason[] = [];
  if (input.curve.time_s.length < 8) reasons.push(reason("bad-readings", "There are too few usable readings."));
  if (input.interrupted !== null) reasons.push(reason("interrupted", `The attempt was broken off: ${input.interrupted}`));
  for (const incident of input.incidents) {
    const broke = incident.kind === "unit-change" || incident.kind === "collapse" ? incidentReason(incident, words) : null;
    if (broke) reasons.push(broke);
  }
  if (settled.charged_s === null)
    reasons.push(reason("not-charged", `The pressure never reached ${words.pressure(Math.abs(limits.charge_Pa))}.`));
  else if (reasons.length === 0)
    reasons.push(
      reason("hold-too-short", "No hold was made after charging.", {
        hold_s: 0,
        required_s: limits.hold_s,
      }),
    );
  return { verdict: "void", reasons: inOrder(reasons), ...told };
}

function overLimit({ input, drop, sign, short_s }: Evidence): Reason {
  const { limits } = input;
  const words = wordingOf(limits);
  const early = short_s > 0 ? " before the hold was over" : "";
  if (limits.floor_Pa !== null) {
    const end_Pa = drop.end?.size_Pa ?? Number.NaN;
    const text = `${words.pressure(end_Pa)} was left at the end${early}, below the ${words.pressure(sign * limits.floor_Pa)} that must remain.`;
    return reason("below-floor", text, {
      end_Pa: sign * end_Pa,
      floor_Pa: limits.floor_Pa,
      u_end_Pa: drop.u_end_Pa,
    });
  }
  const drop_Pa = drop.drop_Pa ?? Number.NaN;
  const text = `${words.pressure(drop_Pa)} was lost${early}, ${words.pressure(limits.permittedDrop_Pa)} is permitted.`;
  return reason("drop-over-limit", text, {
    drop_Pa,
    permitted_Pa: limits.permittedDrop_Pa,
    u_drop_Pa: drop.u_drop_Pa,
  });
}

const emptyHold = ({ limits, hold }: HoldCase): HoldFigures => ({
  from_s: hold?.from_s ?? null,
  to_s: hold?.to_s ?? null,
  required_s: limits.hold_s,
  start_Pa: null,
  end_Pa: null,
  drop_Pa: null,
  permitted_Pa: limits.permittedDrop_Pa,
  floor_Pa: limits.floor_Pa,
  u_drop_Pa: null,
  time_s: null,
  u_time_s: null,
  probability_conforming: null,
});

function holdFigures(evidence: Evidence): HoldFigures {
  const { input, drop, sign, margin, short_s } = evidence;
  const time = input.limits.stop === "fixed-drop" ? timeToFall(evidence) : null;
  return {
    ...emptyHold(input),
    start_Pa: drop.start ? sign * drop.start.size_Pa : null,
    end_Pa: drop.end ? sign * drop.end.size_Pa : null,
    drop_Pa: drop.drop_Pa,
    u_drop_Pa: drop.u_drop_Pa,
    time_s: time?.time_s ?? null,
    u_time_s: time?.u_time_s ?? null,
    probability_conforming: margin && (short_s === 0 || evidence.surelyOver) ? conformance(margin) : null,
  };
}

function leakOf(evidence: Evidence): LeakFigures {
  const { input, drop, sign, length_s, drift } = evidence;
  if (!drop.start || !drop.end) return NO_LEAK;
  const { dn_mm, laid_length_m, volume_m3 } = input.limits;
  const figures = leakFigures({
    start_Pa: sign * drop.start.size_Pa,
    end_Pa: sign * drop.end.size_Pa,
    time_s: length_s,
    dn_mm,
    laid_length_m,
    ...(volume_m3 === undefined ? {} : { volume_m3 }),
    ...(drift.ambient_Pa ? { ambient_Pa: drift.ambient_Pa.start } : {}),
  });
  const flow = leakKind(evidence);
  return flow === null ? figures : { ...figures, flow };
}
