import { signOf } from "../../methods/limits.ts";
import { leakFigures } from "../../physics/leak.ts";
import type { HoldFigures, LeakFigures } from "../../record.ts";
import { conformance } from "../decide.ts";
import { inOrder, type Reason, reason, wordingOf } from "../reasons.ts";
import { spoils } from "../spoilers.ts";
import type { HoldVerdict } from "../verdict.ts";
import type { KeyedCase } from "./keyedCase.ts";
import { floorSize_Pa, type Measured, measure, timeToFall } from "./measured.ts";
import { keyedRemarks } from "./remarks.ts";
import { keyedSpoilers } from "./spoilers.ts";

const NO_LEAK: LeakFigures = { decay_per_min: null, rate_L_min: null, free_air_L_min: null, hole_mm: null };

/** From a test read by eye, as it was made, to the verdict with its reasons, figures and remarks. */
export function judgeKeyed(input: KeyedCase): HoldVerdict {
  const { hold } = input;
  const measured = measure(input);
  if (hold === null || measured === null) return withoutHold(input);
  const { decision } = measured;
  const found = keyedSpoilers(input, hold, measured).filter((one) => spoils(one, decision));
  const told = { hold: holdFigures(input, measured), leak: leakOf(input, measured), remarks: keyedRemarks(input, measured) };
  if (found.length > 0) return { verdict: "void", reasons: inOrder(found.map((one) => one.reason)), ...told };
  if (decision === null)
    return { verdict: "void", reasons: [reason("gauge-silent", "Nothing was read after the start of the hold.")], ...told };
  return { verdict: decision, reasons: decision === "fail" ? [overLimit(input, measured)] : [], ...told };
}

function overLimit({ start }: KeyedCase, { to, drop_Pa, u_drop_Pa }: Measured): Reason {
  const { limits } = start;
  const words = wordingOf(limits);
  if (limits.floor_Pa === null) {
    const text = `${words.pressure(drop_Pa ?? 0)} was lost, ${words.pressure(limits.permittedDrop_Pa)} is permitted.`;
    return reason("drop-over-limit", text, { drop_Pa, permitted_Pa: limits.permittedDrop_Pa, u_drop_Pa });
  }
  const end_Pa = to?.size_Pa ?? 0;
  const text = `${words.pressure(end_Pa)} was left at the end, below the ${words.pressure(floorSize_Pa(limits))} that must remain.`;
  return reason("below-floor", text, { end_Pa: signOf(limits) * end_Pa, floor_Pa: limits.floor_Pa });
}

function withoutHold(input: KeyedCase): HoldVerdict {
  const { interrupted, charged_s, start } = input;
  const { limits } = start;
  const words = wordingOf(limits);
  const reasons: Reason[] = [];
  if (interrupted !== null) reasons.push(reason("interrupted", `The attempt was broken off: ${interrupted}`));
  if (charged_s === null)
    reasons.push(
      reason("not-charged", `No reading of ${words.pressure(Math.abs(limits.charge_Pa))} was entered: the pipe was not charged.`),
    );
  else if (reasons.length === 0)
    reasons.push(reason("hold-too-short", "No hold was made after charging.", { hold_s: 0, required_s: limits.hold_s }));
  return { verdict: "void", reasons: inOrder(reasons), hold: holdFigures(input, null), leak: NO_LEAK, remarks: [] };
}

function holdFigures(input: KeyedCase, measured: Measured | null): HoldFigures {
  const { limits } = input.start;
  const sign = signOf(limits);
  const time = timeToFall(input);
  const conforming = measured?.margin != null && (input.end !== null || measured.surelyOver) ? conformance(measured.margin) : null;
  return {
    from_s: measured?.from.at_s ?? null,
    to_s: input.end?.at_s ?? (input.hold === null ? null : Math.min(input.over_s, input.hold.to_s)),
    required_s: limits.hold_s,
    start_Pa: measured === null ? null : sign * measured.from.size_Pa,
    end_Pa: measured?.to == null ? null : sign * measured.to.size_Pa,
    drop_Pa: measured?.drop_Pa ?? null,
    permitted_Pa: limits.permittedDrop_Pa,
    floor_Pa: limits.floor_Pa,
    u_drop_Pa: measured?.u_drop_Pa ?? null,
    time_s: time?.time_s ?? null,
    u_time_s: time?.u_time_s ?? null,
    probability_conforming: conforming,
  };
}

function leakOf({ start }: KeyedCase, { from, to, drop_Pa, u_drop_Pa }: Measured): LeakFigures {
  // A fall within its own uncertainty is no leak.
  if (to === null || (drop_Pa ?? 0) <= 2 * (u_drop_Pa ?? 0)) return NO_LEAK;
  const { dn_mm, laid_length_m, volume_m3 } = start.limits;
  const sign = signOf(start.limits);
  return leakFigures({
    start_Pa: sign * from.size_Pa,
    end_Pa: sign * to.size_Pa,
    time_s: to.at_s - from.at_s,
    dn_mm,
    laid_length_m,
    ...(volume_m3 === undefined ? {} : { volume_m3 }),
  });
}
