import type { HoldView, KeyedView, LiveView } from "../view.ts";
import { uFall_Pa } from "./eye.ts";
import type { KeyedJudge } from "./keyedJudge.ts";
import { SURE } from "./measured.ts";

/** A fall is drawn out to the end of the hold from this long on, s. */
const PROJECT_FROM_s = 60;

/** All that a screen draws of a test read by eye, as it stands now. */
export function keyedViewOf(judge: KeyedJudge, now_s: number): LiveView {
  const { stage, state } = judge.phases;
  const last = state.readings.at(-1);
  return {
    at_s: now_s,
    phase: stage.phase,
    phaseSince_s: stage.since_s,
    ask: stage.ask,
    pressure_Pa: last === undefined ? null : judge.sign * last.size_Pa,
    // What was typed does not grow old the way a reading does; `keyed` says when it was.
    pressureAt_s: null,
    timeLeft_s: timeLeft_s(judge, now_s),
    settle: null,
    hold: holdView(judge, now_s),
    keyed: keyedView(judge, now_s),
    gauge: judge.health.view(now_s),
    alarm: judge.alarm,
    finished: stage.finished,
    verdict: judge.verdict,
  };
}

function keyedView({ phases, finished }: KeyedJudge, now_s: number): KeyedView {
  const { readings, doubt, calledAt_s, restsUntil_s, hold, calls } = phases.state;
  const last = readings.at(-1);
  const next_s = hold !== null && calls?.next_s != null ? hold.from_s + calls.next_s : restsUntil_s;
  return {
    expects: !finished,
    readings: readings.length,
    doubted: doubt !== null,
    lastAge_s: last === undefined ? null : now_s - last.at_s,
    called_s: calledAt_s === null ? null : now_s - calledAt_s,
    next_s: next_s === null || next_s < now_s ? null : next_s - now_s,
  };
}

function timeLeft_s({ phases, start }: KeyedJudge, now_s: number): number | null {
  const { stage, state } = phases;
  if (stage.phase === "hold" && state.hold !== null) return Math.max(0, state.hold.to_s - now_s);
  if (stage.phase === "settle" && state.charged_s !== null) return Math.max(0, state.charged_s + start.limits.settle_s - now_s);
  return null;
}

function holdView({ phases, start }: KeyedJudge, now_s: number): HoldView | null {
  const { hold, held } = phases.state;
  const [from] = held;
  const to = held.at(-1);
  if (hold === null || from === undefined || to === undefined) return null;
  const { permittedDrop_Pa, hold_s } = start.limits;
  const drop_Pa = from.size_Pa - to.size_Pa;
  const u_Pa = uFall_Pa(from, to, start.gauge);
  const took_s = to.at_s - from.at_s;
  const times = took_s < PROJECT_FROM_s ? null : Math.max(1, hold_s / took_s);
  const projected = (value_Pa: number): number | null => (times === null ? null : times * value_Pa);
  return {
    from_s: hold.from_s,
    elapsed_s: now_s - hold.from_s,
    drop_Pa,
    permitted_Pa: permittedDrop_Pa,
    projected_Pa: projected(drop_Pa),
    projectedLow_Pa: projected(drop_Pa - 2 * u_Pa),
    projectedHigh_Pa: projected(drop_Pa + 2 * u_Pa),
    willFail: drop_Pa - SURE * u_Pa > permittedDrop_Pa,
  };
}
