import type { LiveView, WaterView } from "../view.ts";
import type { WaterJudge } from "./waterJudge.ts";

/** All that a screen draws of a water test, as it stands now. */
export function waterViewOf(judge: WaterJudge, now_s: number): LiveView {
  const { stage } = judge.phases;
  return {
    at_s: now_s,
    phase: stage.phase,
    phaseSince_s: stage.since_s,
    ask: stage.ask,
    pressure_Pa: judge.last?.head_Pa ?? null,
    // A head that was typed does not grow old the way a reading does.
    pressureAt_s: judge.keyed ? null : (judge.last?.at_s ?? null),
    timeLeft_s: timeLeft_s(judge, now_s),
    settle: null,
    hold: null,
    water: watered(judge),
    gauge: judge.health.view(now_s),
    alarm: judge.alarm,
    finished: stage.finished,
    verdict: judge.verdict,
  };
}

function timeLeft_s({ phases, start }: WaterJudge, now_s: number): number | null {
  const { stage, hold, charged_s } = phases;
  if (stage.phase === "hold" && hold !== null) return Math.max(0, hold.to_s - now_s);
  if (stage.phase === "settle" && charged_s !== null) return Math.max(0, charged_s + start.limits.settle_s - now_s);
  return null;
}

function watered(judge: WaterJudge): WaterView {
  const { phases, water } = judge;
  const { entered_L, topUps } = judge.enteredInHold();
  const standpipe = water.standpipe_mm !== null && !judge.keyed;
  return {
    added_L: phases.hold === null || standpipe ? null : entered_L,
    permitted_L: water.permitted_L,
    topUps,
    test_Pa: phases.target_Pa,
    willFail: entered_L > water.permitted_L && !standpipe,
    expects: expects(judge, standpipe),
  };
}

function expects({ phases, keyed, finished }: WaterJudge, standpipe: boolean): WaterView["expects"] {
  if (finished) return null;
  if (phases.stage.phase === "hold") return standpipe ? null : "litres";
  return keyed ? "head" : null;
}
