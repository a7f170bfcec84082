import type { LiveJudge } from "./liveJudge.ts";
import type { HoldView, LiveView } from "./view.ts";

/** All that a screen draws, as it stands now. */
export function liveView(judge: LiveJudge, now_s: number): LiveView {
  const { stage } = judge.phases;
  const last = judge.lastReading;
  const hold = holdView(judge, now_s);
  return {
    at_s: now_s,
    phase: stage.phase,
    phaseSince_s: stage.since_s,
    ask: stage.ask,
    pressure_Pa: last?.pressure_Pa ?? null,
    pressureAt_s: last?.at_s ?? null,
    timeLeft_s: timeLeft_s(judge, now_s),
    settle: stage.phase === "settle" || stage.phase === "trim" ? stage.settle : null,
    hold,
    gauge: judge.health.view(now_s),
    alarm: judge.alarm,
    finished: stage.finished,
    verdict: judge.verdict,
  };
}

function timeLeft_s(judge: LiveJudge, now_s: number): number | null {
  const { stage, scene } = judge.phases;
  if (stage.phase === "hold" && stage.hold !== null) return Math.max(0, stage.hold.to_s - now_s);
  if (stage.phase === "settle" && stage.charged_s !== null) return Math.max(0, stage.charged_s + scene.limits.settle_s - now_s);
  return null;
}

function holdView(judge: LiveJudge, now_s: number): HoldView | null {
  const { stage, scene } = judge.phases;
  if (stage.hold === null) return null;
  const seen = stage.projection;
  const wide = 1.96 * (seen?.u_end_drop_Pa ?? 0);
  return {
    from_s: stage.hold.from_s,
    elapsed_s: Math.min(now_s, stage.hold.to_s) - stage.hold.from_s,
    drop_Pa: seen?.drop_Pa ?? null,
    permitted_Pa: scene.permitted_Pa,
    projected_Pa: seen?.end_drop_Pa ?? null,
    projectedLow_Pa: seen === null ? null : seen.end_drop_Pa - wide,
    projectedHigh_Pa: seen === null ? null : seen.end_drop_Pa + wide,
    willFail: seen?.willFail ?? false,
  };
}
