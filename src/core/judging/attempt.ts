import type { Limits } from "../methods/limits.ts";
import { JUDGE_VERSION, type RecordStart, type Verdict } from "../record.ts";
import { type Cleaned, cleanCurve } from "./clean.ts";
import type { Columns } from "./columns.ts";
import { type History, historyOf, incidentsOf } from "./history.ts";
import type { HoldCase, Incident, Settled } from "./holdCase.ts";
import { type Candidate, candidatesOf, provenBy } from "./holdSearch.ts";
import { momentsOf, settledAt } from "./moments.ts";
import { type HoldVerdict, judgeHold } from "./verdict.ts";

/** What the live judge saw of an attempt besides its readings. */
export type Seen = Omit<HoldCase, "curve" | "limits" | "gauge" | "rule" | "notes"> & {
  /** The hold ended because the charge had gone. */
  lost: boolean;
};

/** From an attempt as it was run to the verdict that goes on record; `unfiltered` only for asking what it would be with spikes left in. */
export function judgeAttempt(start: RecordStart, columns: Columns, asRun: Seen, unfiltered = false): Verdict {
  const { limits, gauge, rule } = start;
  const cleaned = cleanCurve(columns.curve(), gauge.resolution_Pa, unfiltered);
  const history = historyOf(cleaned, limits);
  const seen = untilOpened(asRun, history);
  const settled = seenFromTheEnd(cleaned, history, limits, seen);
  const held: HoldCase = {
    ...seen,
    limits,
    rule,
    gauge: { ...gauge, resolution_Pa: cleaned.resolution_Pa },
    curve: cleaned.curve,
    settled,
    incidents: [...seen.incidents, ...incidentsOfCurve(cleaned, history, start, asRun)].sort((a, b) => a.at_s - b.at_s),
    notes: cleaned.notes,
  };
  const asHeld = judgeHold(held);
  const told = (onlyUnsettled(asHeld) ? provenLater(held, cleaned, history) : null) ?? asHeld;
  return {
    schema: "staunch/verdict/1",
    verdict: told.verdict,
    reasons: told.reasons,
    judge: "live",
    judge_version: JUDGE_VERSION,
    rule,
    source: start.source,
    record: start.id === "" ? null : start.id,
    program: start.program,
    method: limits.method,
    settled_at_s: settled.settled_s,
    phases: seen.phases,
    hold: told.hold,
    leak: told.leak,
    remarks: told.remarks,
    readings: columns.length,
  };
}

const onlyUnsettled = ({ verdict, reasons }: HoldVerdict): boolean =>
  verdict === "void" && reasons.every(({ code }) => code === "not-settled" || code === "settle-too-short");

/**
 * A clock started too early spoils the result, unless a hold that begins within it once the pressure had settled proves something: a whole
 * one, or one in which too much was lost all the same. It lasts until the pipe was really opened, some seconds after the clock had run out.
 */
function provenLater(held: HoldCase, cleaned: Cleaned, history: History): HoldVerdict | null {
  const asked = held.hold;
  if (asked === null) return null;
  const shut_s = held.settled.lastAction_s ?? asked.from_s;
  const later = candidatesOf(cleaned, history, held.limits).holds.filter(({ hold }) => hold.from_s >= shut_s && hold.from_s < asked.to_s);
  const judge = ({ hold, settled }: Candidate): HoldVerdict =>
    judgeHold({ ...held, hold, settled, phases: heldUntil(held.phases, hold.to_s) });
  return provenBy(later, judge, ({ verdict }) => verdict);
}

const heldUntil = (phases: HoldCase["phases"], to_s: number): HoldCase["phases"] =>
  phases.map((span) => {
    if (span.phase === "hold") return { ...span, to_s };
    return span.phase === "vent" ? { ...span, from_s: to_s } : span;
  });

/** The vent is opened within seconds of the end of the hold; the foot of that fall may reach this far back into it. */
const VENT_FOOT_S = 2;

/** A pipe opened while the clock ran was held until then; what it lost afterwards went through the vent. */
function untilOpened(asRun: Seen, { released, release_s }: History): Seen {
  const { hold, lost } = asRun;
  if (hold === null || !released || release_s <= hold.from_s) return asRun;
  if (release_s >= hold.to_s - (lost ? 0 : VENT_FOOT_S)) return asRun;
  const phases = heldUntil(asRun.phases, release_s);
  return { ...asRun, phases, hold: { from_s: hold.from_s, to_s: release_s } };
}

/** Our own stamps cannot step; those of a file can. Everything done to the pipe is found as the other judge finds it. */
function incidentsOfCurve(cleaned: Cleaned, history: History, start: RecordStart, { hold, lost }: Seen): Incident[] {
  const own = start.source !== "imported";
  const stamps = cleaned.incidents.filter(({ kind }) => !own || kind !== "clock-step");
  const before_s = hold === null ? Number.POSITIVE_INFINITY : hold.to_s - (lost ? 0 : VENT_FOOT_S);
  return [...stamps, ...incidentsOf(history).filter(({ at_s }) => at_s < before_s)];
}

/**
 * The transient that was still to come when the clock started, looked at again now that the whole recording is known: as the other judge
 * looks at it.
 */
function seenFromTheEnd(cleaned: Cleaned, history: History, limits: Limits, { settled, hold }: Seen): Settled {
  if (hold === null) return settled;
  const list = momentsOf(cleaned, history, limits).findLast((moments) => (moments[0]?.at_s ?? Number.POSITIVE_INFINITY) <= hold.from_s);
  const moment = list?.find((m) => m.at_s >= hold.from_s) ?? null;
  if (!list || moment?.coming == null) return settled;
  const known = settledAt(history, list, moment);
  return { ...settled, coming_Pa: known.coming_Pa, u_coming_Pa: known.u_coming_Pa, settled_s: moment.settled ? known.settled_s : null };
}
