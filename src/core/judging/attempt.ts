import { type Limits, signOf } from "../methods/limits.ts";
import { JUDGE_VERSION, type RecordStart, type Verdict } from "../record.ts";
import { type Cleaned, cleanCurve } from "./clean.ts";
import type { Columns } from "./columns.ts";
import { type History, historyOf, incidentsOf } from "./history.ts";
import type { HoldCase, Incident, Settled } from "./holdCase.ts";
import { ALLOWED_PART, airTimeConstant_s, HOSE_S } from "./settling.ts";
import { fitSettling } from "./settlingFit.ts";
import { judgeHold } from "./verdict.ts";

/** What the live judge saw of an attempt besides its readings. */
export type Seen = Omit<HoldCase, "curve" | "limits" | "gauge" | "rule" | "notes"> & {
  /** The hold ended because the charge had gone. */
  lost: boolean;
};

/** From an attempt as it was run to the verdict that goes on record. */
export function judgeAttempt(start: RecordStart, columns: Columns, asRun: Seen): Verdict {
  const { limits, gauge, rule } = start;
  const cleaned = cleanCurve(columns.curve(), gauge.resolution_Pa);
  const history = historyOf(cleaned, limits);
  const seen = untilOpened(asRun, history);
  const settled = seenFromTheEnd(cleaned, limits, seen);
  const told = judgeHold({
    ...seen,
    limits,
    rule,
    gauge: { ...gauge, resolution_Pa: cleaned.resolution_Pa },
    curve: cleaned.curve,
    settled,
    incidents: [...seen.incidents, ...incidentsOfCurve(cleaned, history, start, asRun)].sort((a, b) => a.at_s - b.at_s),
    notes: cleaned.notes,
  });
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

/** The vent is opened within seconds of the end of the hold; the foot of that fall may reach this far back into it. */
const VENT_FOOT_S = 2;

/** A pipe opened while the clock ran was held until then; what it lost afterwards went through the vent. */
function untilOpened(asRun: Seen, { released, release_s }: History): Seen {
  const { hold, lost } = asRun;
  if (hold === null || !released || release_s <= hold.from_s) return asRun;
  if (release_s >= hold.to_s - (lost ? 0 : VENT_FOOT_S)) return asRun;
  const phases = asRun.phases.map((span) => {
    if (span.phase === "hold") return { ...span, to_s: release_s };
    return span.phase === "vent" ? { ...span, from_s: release_s } : span;
  });
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
 * The transient that was still to come when the clock started, looked at again now that the hold is known: a fit over the whole
 * untouched stretch narrows what was only bounded then.
 */
function seenFromTheEnd(cleaned: Cleaned, limits: Limits, seen: Seen): Settled {
  const { settled, hold } = seen;
  if (hold === null || settled.lastAction_s === null) return settled;
  const { time_s, pressure_Pa } = cleaned.curve;
  const sign = signOf(limits);
  const fit = fitSettling({
    time_s,
    size_Pa: sign === 1 ? pressure_Pa : pressure_Pa.map((p) => -p),
    from_s: settled.lastAction_s + HOSE_S,
    to_s: hold.to_s,
    test_Pa: Math.abs(limits.test_Pa),
    longest_s: 3 * airTimeConstant_s(limits.dn_mm),
    resolution_Pa: cleaned.resolution_Pa,
  });
  if (fit === null) return settled;
  const found = fit.comingAt(hold.from_s, hold.to_s - hold.from_s);
  const spread = 1.645 * (settled.u_coming_Pa ?? Number.POSITIVE_INFINITY);
  const high = Math.min(found.high_Pa, (settled.coming_Pa ?? 0) + spread);
  const low = Math.max(found.low_Pa, (settled.coming_Pa ?? 0) - spread);
  const coming =
    low <= high
      ? { coming_Pa: (high + low) / 2, u_coming_Pa: (high - low) / 2 / 1.645 }
      : { coming_Pa: found.coming_Pa, u_coming_Pa: found.u_Pa };
  const worst_Pa = Math.abs(coming.coming_Pa) + 1.645 * coming.u_coming_Pa;
  const small = worst_Pa <= ALLOWED_PART * limits.permittedDrop_Pa;
  return { ...settled, ...coming, settled_s: settled.settled_s ?? (small ? hold.from_s : null) };
}
