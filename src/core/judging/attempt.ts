import { JUDGE_VERSION, type RecordStart, type Verdict } from "../record.ts";
import type { Columns } from "./columns.ts";
import type { HoldCase } from "./holdCase.ts";
import { judgeHold } from "./verdict.ts";

/** From an attempt as it was run to the verdict that goes on record. */
export function judgeAttempt(start: RecordStart, columns: Columns, run: Omit<HoldCase, "curve">): Verdict {
  const told = judgeHold({ ...run, curve: columns.curve() });
  return {
    schema: "staunch/verdict/1",
    verdict: told.verdict,
    reasons: told.reasons,
    judge: "live",
    judge_version: JUDGE_VERSION,
    rule: start.rule,
    source: start.source,
    record: start.id,
    program: start.program,
    method: start.limits.method,
    settled_at_s: run.settled.settled_s,
    phases: run.phases,
    hold: told.hold,
    leak: told.leak,
    remarks: told.remarks,
    readings: columns.length,
  };
}
