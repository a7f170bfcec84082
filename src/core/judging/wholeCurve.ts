import { at, type Curve } from "../curve.ts";
import type { RecordSource } from "../link.ts";
import { type Limits, signOf } from "../methods/limits.ts";
import { type GaugeFacts, JUDGE_VERSION, type Rule, type Verdict } from "../record.ts";
import { type Cleaned, cleanCurve } from "./clean.ts";
import { type History, historyOf, incidentsOf } from "./history.ts";
import type { HoldCase } from "./holdCase.ts";
import { type Candidate, candidatesOf, provenBy } from "./holdSearch.ts";
import type { Moment } from "./moments.ts";
import { inOrder, type Reason, reason, wordingOf } from "./reasons.ts";
import { GIVEN_BACK } from "./settling.ts";
import { phasesOf } from "./spans.ts";
import { type HoldVerdict, judgeHold } from "./verdict.ts";

export interface WholeCurveInput {
  /** As it came: stamps may run backwards, stand still or jump. */
  curve: Curve;
  limits: Limits;
  gauge: GaugeFacts;
  rule: Rule;
  source: RecordSource;
  program: string;
  record: string | null;
  /** When the clock of a recorded test was started, s: the hold its crew made need not be guessed. Absent: it is found. */
  asRun_s?: number | null;
}

/** Judges a finished recording: finds the hold the crew made and hands it to the judgement both judges share. */
export function judgeWholeCurve(input: WholeCurveInput): Verdict {
  const cleaned = cleanCurve(input.curve, input.gauge.resolution_Pa);
  const history = historyOf(cleaned, input.limits);
  const { holds, told, unsettledUntil_s, settledOff } = candidatesOf(cleaned, history, input.limits, input.asRun_s ?? null);
  const judged = (of: Candidate | null): Judged => judge(input, cleaned, history, of);
  const { verdict, candidate, phases } = provenBy(holds, judged, (j) => j.verdict.verdict) ?? judged(holds[told] ?? null);
  return {
    schema: "staunch/verdict/1",
    verdict: verdict.verdict,
    reasons: withSettledOff(withLateSettling(verdict, unsettledUntil_s, candidate), settledOff, input.limits),
    judge: "whole-curve",
    judge_version: JUDGE_VERSION,
    rule: input.rule,
    source: input.source,
    record: input.record,
    program: input.program,
    method: input.limits.method,
    settled_at_s: candidate?.settled.settled_s ?? null,
    phases,
    hold: verdict.hold,
    leak: verdict.leak,
    remarks: verdict.remarks,
    readings: input.curve.time_s.length,
  };
}

/** A hold too short because the pressure had settled too late for a whole one: that is told too. */
function withLateSettling({ reasons }: HoldVerdict, unsettledUntil_s: number | null, candidate: Candidate | null): Reason[] {
  const settled_s = candidate?.settled.settled_s ?? null;
  if (unsettledUntil_s === null || settled_s === null || !reasons.some((r) => r.code === "hold-too-short")) return reasons;
  const text = `The pressure had not settled at ${Math.round(unsettledUntil_s)} s, the last moment in the start band with time for a whole hold.`;
  return inOrder([...reasons, reason("not-settled", text, { last_start_s: unsettledUntil_s, settled_s })]);
}

/** Started before it had settled, because by then it was no longer at the test pressure: a top-up was missing, and that is told too. */
function withSettledOff(reasons: Reason[], settledOff: Moment | null, limits: Limits): Reason[] {
  const codes = reasons.map((r) => r.code);
  if (settledOff === null || !codes.includes("not-settled") || codes.includes("start-out-of-tolerance")) return reasons;
  const { at_s, off_Pa } = settledOff;
  const words = wordingOf(limits);
  const text = `Once it had settled, at ${Math.round(at_s)} s, the pressure stood ${words.pressure(Math.abs(off_Pa))} ${off_Pa < 0 ? "below" : "above"} the test pressure; ± ${words.pressure(limits.startTolerance_Pa)} is allowed.`;
  return inOrder([...reasons, reason("start-out-of-tolerance", text, { settled_s: at_s, off_Pa, tolerance_Pa: limits.startTolerance_Pa })]);
}

interface Judged {
  verdict: HoldVerdict;
  candidate: Candidate | null;
  phases: Verdict["phases"];
}

function judge(input: WholeCurveInput, cleaned: Cleaned, history: History, candidate: Candidate | null): Judged {
  const end_s = cleaned.curve.time_s.at(-1) ?? 0;
  const phases = phasesOf(history, candidate?.hold ?? null, end_s);
  const held: HoldCase = {
    curve: cleaned.curve,
    limits: input.limits,
    gauge: { ...input.gauge, resolution_Pa: cleaned.resolution_Pa },
    rule: input.rule,
    hold: candidate?.hold ?? null,
    settled: candidate?.settled ?? {
      charged_s: history.charged_s,
      lastAction_s: history.charge?.to_s ?? null,
      served_s: null,
      settled_s: null,
      coming_Pa: null,
      u_coming_Pa: null,
      tooCoarse: false,
    },
    incidents: [...cleaned.incidents, ...incidentsOf(history)].sort((a, b) => a.at_s - b.at_s),
    phases,
    gaugeProven: null,
    interrupted: null,
    gross: grossOf(cleaned, history, input.limits),
    notes: cleaned.notes,
  };
  return { verdict: judgeHold(held), candidate, phases };
}

/** A charge that falls through the whole start band in less than this never lets a clock be started, s. */
const GROSS_BAND_S = 10;

/**
 * A pipe that cannot be held: after the last charge the pressure crossed the start band in under 10 s. The smallest drop the curve allows is
 * what was lost within one hold from below the band, less all the heat the charge can have brought.
 */
function grossOf(cleaned: Cleaned, { stretches, release_s }: History, limits: Limits): HoldCase["gross"] {
  const stretch = stretches.at(-1);
  if (!stretch) return null;
  const sign = signOf(limits);
  const { time_s, pressure_Pa } = cleaned.curve;
  const test_Pa = Math.abs(limits.test_Pa);
  let peak_Pa = 0;
  let above_s: number | null = null;
  let below: { at_s: number; size_Pa: number } | null = null;
  for (let i = 0; i < time_s.length && at(time_s, i) <= Math.min(release_s, stretch.to_s); i++) {
    const size_Pa = sign * at(pressure_Pa, i);
    if (at(time_s, i) < stretch.from_s) continue;
    peak_Pa = Math.max(peak_Pa, size_Pa);
    if (size_Pa >= test_Pa + limits.startTolerance_Pa) above_s = at(time_s, i);
    if (below === null && size_Pa < test_Pa - limits.startTolerance_Pa) below = { at_s: at(time_s, i), size_Pa };
    if (below !== null && at(time_s, i) >= below.at_s + limits.hold_s) {
      return above_s !== null && below.at_s - above_s < GROSS_BAND_S
        ? { smallestDrop_Pa: below.size_Pa - size_Pa - GIVEN_BACK * peak_Pa }
        : null;
    }
  }
  return null;
}
