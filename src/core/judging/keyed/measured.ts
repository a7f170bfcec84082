import { type Limits, signOf } from "../../methods/limits.ts";
import { type Decision, decide, type Margin } from "../decide.ts";
import { LATE_s } from "./calls.ts";
import { type KeyedReading, uAt_Pa, uFall_Pa } from "./eye.ts";
import type { KeyedCase } from "./keyedCase.ts";

/** Beyond it a result already over its limit stands: one in a hundred (one-sided normal law). */
export const SURE = 2.33;

/** What the readings of a hold came to. */
export interface Measured {
  from: KeyedReading;
  /** The reading that ends the hold, the last one of a hold that was cut short; `null`: nothing was read after the start. */
  to: KeyedReading | null;
  drop_Pa: number | null;
  u_drop_Pa: number | null;
  margin: Margin | null;
  decision: Decision | null;
  /** Over the limit beyond doubt, whatever else. */
  surelyOver: boolean;
  /** The reading that decides was entered this long after its time, s, and what was lost by then may have been within the limit. */
  tooLate_s: number | null;
}

export function measure(input: KeyedCase): Measured | null {
  const { held, end, start, hold } = input;
  const [from] = held;
  if (from === undefined || hold === null) return null;
  const to = end ?? (held.length > 1 ? held.at(-1) : null) ?? null;
  const { limits, rule, gauge } = start;
  if (to === null) return { from, to, drop_Pa: null, u_drop_Pa: null, margin: null, decision: null, surelyOver: false, tooLate_s: null };
  const margin = marginBetween(from, to, input);
  const decision = decide(margin, rule, limits.boundary);
  const surelyOver = isSurelyOver(margin);
  const late_s = end === null ? 0 : end.at_s - hold.to_s;
  const lateFail = decision === "fail" && late_s > LATE_s && !failedByThen(input, from, to);
  return {
    from,
    to,
    drop_Pa: from.size_Pa - to.size_Pa,
    u_drop_Pa: uFall_Pa(from, to, gauge),
    margin,
    decision,
    surelyOver: surelyOver && !lateFail,
    tooLate_s: lateFail ? late_s : null,
  };
}

const isSurelyOver = ({ margin_Pa, u_Pa }: Margin): boolean => margin_Pa + SURE * u_Pa < 0;

/** Sizes are typed in whole millimetres: what differs from the limit by less than a millionth of a pascal is at it. */
const steady = (value_Pa: number): number => Math.round(value_Pa * 1e6) / 1e6;

function marginBetween(from: KeyedReading, to: KeyedReading, { start }: KeyedCase): Margin {
  const { limits, gauge } = start;
  if (limits.floor_Pa !== null) return { margin_Pa: steady(to.size_Pa - floorSize_Pa(limits)), u_Pa: uAt_Pa(to, gauge) };
  return { margin_Pa: steady(limits.permittedDrop_Pa - (from.size_Pa - to.size_Pa)), u_Pa: uFall_Pa(from, to, gauge) };
}

export const floorSize_Pa = (limits: Limits): number => signOf(limits) * (limits.floor_Pa ?? 0);

/** A last reading entered late has lost more than the hold did: the fall is followed back to the time of the hold. */
function failedByThen(input: KeyedCase, from: KeyedReading, to: KeyedReading): boolean {
  const { held, hold, start } = input;
  const before = held.findLast((reading) => hold !== null && reading.at_s <= hold.to_s && reading !== to);
  if (before === undefined || hold === null) return false;
  if (decide(marginBetween(from, before, input), start.rule, start.limits.boundary) === "fail") return true;
  const part = (hold.to_s - before.at_s) / (to.at_s - before.at_s);
  const then: KeyedReading = { at_s: hold.to_s, size_Pa: before.size_Pa + part * (to.size_Pa - before.size_Pa), looks: to.looks };
  return isSurelyOver(marginBetween(from, then, input));
}

/** When a fall by the permitted drop was passed, between the readings about it; methods that time a fall ask for it. */
export function timeToFall({ start, held, hold }: KeyedCase): { time_s: number; u_time_s: number } | null {
  const [from] = held;
  if (start.limits.stop !== "fixed-drop" || from === undefined || hold === null) return null;
  const mark_Pa = from.size_Pa - start.limits.permittedDrop_Pa;
  const i = held.findIndex(({ size_Pa }) => size_Pa <= mark_Pa);
  const [before, after] = [held[i - 1], held[i]];
  if (before === undefined || after === undefined || before.size_Pa <= after.size_Pa) return null;
  const rate_Pa_s = (before.size_Pa - after.size_Pa) / (after.at_s - before.at_s);
  return {
    time_s: before.at_s + (before.size_Pa - mark_Pa) / rate_Pa_s - hold.from_s,
    u_time_s: uFall_Pa(from, after, start.gauge) / rate_Pa_s,
  };
}
