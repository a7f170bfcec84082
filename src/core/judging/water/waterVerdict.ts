import type { Finding, HoldFigures, LeakFigures, RemarkCode, Verdict, WaterFigures } from "../../record.ts";
import { conformance, decide, type Margin } from "../decide.ts";
import { inOrder, type Reason, reason, wordingOf } from "../reasons.ts";
import { litres } from "./litres.ts";
import { waterSpoilers } from "./spoilers.ts";
import { MEASURE_STEP_L, type Measured, measure } from "./volume.ts";
import type { WaterCase } from "./waterCase.ts";

export type WaterVerdict = Pick<Verdict, "verdict" | "reasons" | "hold" | "leak" | "remarks"> & { water: WaterFigures };

/** Beyond it a result already over its limit stands, even when the hold was cut: one in a hundred (one-sided normal law). */
const SURE = 2.33;

const NO_LEAK: LeakFigures = { decay_per_min: null, rate_L_min: null, free_air_L_min: null, hole_mm: null };

/** From a water test as it was made to the verdict with its reasons, litres and remarks. */
export function judgeWater(input: WaterCase): WaterVerdict {
  const { hold, water, start } = input;
  if (hold === null || hold.to_s <= hold.from_s) return withoutHold(input);
  const measured = measure(input, hold);
  const margin = marginOf(measured, water.permitted_L);
  const surelyOver = margin !== null && margin.margin_Pa < -SURE * margin.u_Pa;
  const spoilers = waterSpoilers({ input, hold, measured, surelyOver });
  const decision = margin === null ? null : decide(margin, start.rule, start.limits.boundary);
  const spoiling = spoilers.filter(
    ({ spoils }) => decision === null || spoils === "both" || decision === "inconclusive" || spoils === decision,
  );
  const told = {
    hold: holdFigures(input, measured, margin),
    leak: NO_LEAK,
    remarks: remarksOf(input, measured, margin),
    water: waterFigures(input, measured),
  };
  if (decision === null && spoiling.length === 0)
    return {
      verdict: "void",
      reasons: [reason("gauge-silent", "The litres cannot be told: nothing was read at the start or the end.")],
      ...told,
    };
  if (decision === null || spoiling.length > 0) return { verdict: "void", reasons: inOrder(spoiling.map((one) => one.reason)), ...told };
  return { verdict: decision, reasons: decision === "fail" ? [overLimit(input, measured)] : [], ...told };
}

/** The rules of decide.ts hold for any quantity; here its pascals are litres. */
const marginOf = ({ added_L, u_added_L }: Measured, permitted_L: number): Margin | null =>
  added_L === null ? null : { margin_Pa: permitted_L - added_L, u_Pa: u_added_L ?? 0 };

function overLimit({ water }: WaterCase, { added_L, u_added_L }: Measured): Reason {
  const text = `${litres(added_L ?? 0)} of water were needed, ${litres(water.permitted_L)} are permitted.`;
  return reason("drop-over-limit", text, { added_L, permitted_L: water.permitted_L, u_added_L });
}

function withoutHold(input: WaterCase): WaterVerdict {
  const { start, charged_s, interrupted, water } = input;
  const { pressure } = wordingOf(start.limits);
  const reasons: Reason[] = [];
  if (interrupted !== null) reasons.push(reason("interrupted", `The attempt was broken off: ${interrupted}`));
  if (charged_s === null)
    reasons.push(
      reason("not-charged", `The water never stood at ${pressure(water.low_Pa)} or more at the top of the pipe.`, { low_Pa: water.low_Pa }),
    );
  else if (reasons.length === 0)
    reasons.push(reason("hold-too-short", "No 30 min were begun after conditioning.", { hold_s: 0, required_s: start.limits.hold_s }));
  return {
    verdict: "void",
    reasons: inOrder(reasons),
    hold: emptyHold(input),
    leak: NO_LEAK,
    remarks: [],
    water: waterFigures(input, null),
  };
}

const emptyHold = ({ start, hold }: WaterCase): HoldFigures => ({
  from_s: hold?.from_s ?? null,
  to_s: hold?.to_s ?? null,
  required_s: start.limits.hold_s,
  start_Pa: null,
  end_Pa: null,
  drop_Pa: null,
  permitted_Pa: start.limits.permittedDrop_Pa,
  floor_Pa: null,
  u_drop_Pa: null,
  time_s: null,
  u_time_s: null,
  probability_conforming: null,
});

const holdFigures = (input: WaterCase, { start_Pa, end_Pa }: Measured, margin: Margin | null): HoldFigures => ({
  ...emptyHold(input),
  start_Pa,
  end_Pa,
  probability_conforming: margin === null ? null : conformance(margin),
});

const waterFigures = ({ water, target_Pa, read }: WaterCase, measured: Measured | null): WaterFigures => ({
  added_L: measured?.added_L ?? null,
  u_added_L: measured?.u_added_L ?? null,
  permitted_L: water.permitted_L,
  area_m2: water.area_m2,
  litres_per_m2: water.litresPerM2,
  top_ups: measured?.topUps ?? 0,
  volume: read ? "from-head" : "entered",
  test_head_Pa: target_Pa,
  lowest_head_Pa: measured?.lowest_Pa ?? null,
  highest_head_Pa: measured?.highest_Pa ?? null,
});

type Remark = Finding<RemarkCode>;

function remarksOf({ water, read, entries }: WaterCase, measured: Measured, margin: Margin | null): Remark[] {
  const found: Remark[] = [];
  const { added_L, u_added_L, entered_L } = measured;
  if (margin !== null && Math.abs(margin.margin_Pa) < 2 * margin.u_Pa) {
    const text = `${litres(added_L ?? 0)} against ${litres(water.permitted_L)}: within the uncertainty of the litres (${litres(2 * margin.u_Pa)}, 95 %).`;
    found.push({ code: "borderline", text, figures: { added_L, permitted_L: water.permitted_L, u_added_L } });
  }
  // EN 1610 asks for the litres to 0.1 L; of a small surface that is much of what is permitted.
  if (!read && MEASURE_STEP_L > 0.1 * water.permitted_L) {
    const text = `A measure read to ${MEASURE_STEP_L} L is coarse for the ${litres(water.permitted_L)} permitted: a standpipe tells them finer.`;
    found.push({ code: "gauge-too-coarse", text, figures: { step_L: MEASURE_STEP_L, permitted_L: water.permitted_L } });
  }
  if (added_L !== null && added_L < -2 * (u_added_L ?? 0)) {
    const text = `The level rose by ${litres(-added_L)} with nothing put in: warming water or ground water coming in can hide a loss.`;
    found.push({ code: "rising-curve", text, figures: { added_L } });
  }
  if (read && entries.length > 0 && added_L !== null && Math.abs(entered_L - added_L) > SURE * Math.hypot(u_added_L ?? 0, MEASURE_STEP_L)) {
    const text = `${litres(entered_L)} were typed, the standpipe shows ${litres(added_L)}: check its bore and the entries.`;
    found.push({ code: "volume-implausible", text, figures: { entered_L, added_L } });
  }
  return found;
}
