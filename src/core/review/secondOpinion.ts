import type { Curve } from "../curve.ts";
import { isKeyed } from "../judging/water/waterJudge.ts";
import { judgeWholeCurve } from "../judging/wholeCurve.ts";
import type { RecordStart, Verdict } from "../record.ts";

/**
 * What the whole-curve judge makes of a finished record; `null` where it has no say: water, and air read by eye. The hold is the one the test ran,
 * so that the two part over what the curve shows and not over where to look.
 */
export function secondOpinionOf(start: RecordStart, verdict: Verdict, curve: Curve): Verdict | null {
  if (start.limits.water !== undefined || isKeyed(start) || curve.time_s.length === 0) return null;
  return judgeWholeCurve({
    curve,
    limits: start.limits,
    gauge: start.gauge,
    rule: start.rule,
    source: start.source,
    program: verdict.program,
    record: start.id,
    asRun_s: verdict.hold.from_s,
  });
}

/** What a curve cannot show: whether the gauge saw the pipe, who broke the test off, what the wall clock did. */
const NOT_IN_THE_CURVE: ReadonlySet<string> = new Set(["gauge-not-proven", "interrupted", "clock-stepped"]);

/** Another word, and not merely because the curve alone cannot know what made the attempt void. */
export function isOtherOpinion(verdict: Verdict, second: Verdict): boolean {
  if (second.verdict === verdict.verdict) return false;
  const unseen = verdict.verdict === "void" && verdict.reasons.length > 0 && verdict.reasons.every((r) => NOT_IN_THE_CURVE.has(r.code));
  return !unseen;
}
