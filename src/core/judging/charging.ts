import { at } from "../curve.ts";
import { NOBODY_S, nobodyThere } from "./grossLeak.ts";
import type { Phases } from "./phases.ts";

/** Part of the test pressure above which the pipe is no longer open to the air. */
const CHARGED_PART = 0.05;
/** A hand pump pauses this long between strokes. */
const PUMP_PAUSE_S = 10;
/** A crew that has stopped short is told so again after this long. */
const AGAIN_S = 40;
/** No new height for this long while pumping is asked for: it will not come. */
const STUCK_S = 240;
/** In the charge band nothing more is wanted, so the flow is over sooner. */
const BAND_PAUSE_S = 3;
/** The longest a test waits for its first stroke. */
const IDLE_S = 3600;
/** Readings of the open gauge wanted before pumping is asked for. */
const ZERO_S = 5;

/** The gauge lies open: its zero is taken, then pumping is asked for. */
export function idling(phases: Phases, now_s: number, i: number): void {
  const { scene, stage, prompts } = phases;
  const size = at(scene.bins.p_Pa, i);
  if (size > CHARGED_PART * scene.test_Pa + Math.abs(zeroOf(phases))) {
    stage.peak = { size_Pa: size, at_s: now_s, from_s: now_s };
    phases.enter("charge", now_s, prompts.charge(), "Charging.");
    return;
  }
  stage.zero.sum += size;
  stage.zero.n++;
  if (now_s - stage.since_s >= ZERO_S) phases.say(prompts.charge(), now_s);
  // A crew takes its time to begin; one that has let its charge out and does not come back has gone.
  const again = stage.spans.some((span) => span.phase === "charge");
  if (now_s - stage.since_s > (again ? 2 * NOBODY_S : IDLE_S)) nobodyThere(phases, now_s);
}

/** Mean reading of the open gauge; 0 before there is one. */
const zeroOf = (phases: Phases): number => (phases.stage.zero.n === 0 ? 0 : phases.stage.zero.sum / phases.stage.zero.n);

/** The pressure the pipe must reach to count as charged: inside the start tolerance of the charge pressure. */
export const bandLow_Pa = (phases: Phases): number =>
  Math.max(phases.scene.test_Pa, phases.scene.charge_Pa - Math.max(phases.scene.tolerance_Pa, 0.02 * phases.scene.charge_Pa));

/** Air goes in; pauses of a hand pump are still charge. Ends when no new height was reached for a while. */
export function charging(phases: Phases, now_s: number, i: number): void {
  const { scene, stage, prompts } = phases;
  const size = at(scene.bins.p_Pa, i);
  const least = Math.max(1.5 * scene.resolution_Pa, 0.0005 * scene.test_Pa);
  if (size > stage.peak.size_Pa + least) {
    stage.peak.size_Pa = size;
    stage.peak.at_s = now_s;
  }
  if (stage.charged_s === null && size >= bandLow_Pa(phases)) stage.charged_s = now_s;
  const paused_s = now_s - stage.peak.at_s;
  const enough = (scene.test_Pa + scene.charge_Pa) / 2;
  if (stage.charged_s === null && paused_s >= PUMP_PAUSE_S && stage.peak.size_Pa >= enough) stage.charged_s = stage.peak.at_s;
  if (paused_s > STUCK_S) return neverCharged(phases, now_s);
  if (stage.charged_s !== null) {
    if (paused_s >= BAND_PAUSE_S) chargeDone(phases, now_s, i);
    return;
  }
  if (size < CHARGED_PART * scene.test_Pa && paused_s > PUMP_PAUSE_S) {
    phases.enter("idle", now_s, prompts.charge(), "The charge was let out again.");
  } else if (Math.round(paused_s) % AGAIN_S === PUMP_PAUSE_S) {
    phases.say(prompts.keepPumping(size), now_s);
    // The last height no longer counts once much of it is lost: pumping on from lower down is still pumping.
    if (size < 0.9 * stage.peak.size_Pa) stage.peak.size_Pa = size;
  }
}

/** However they pump it goes no higher: a plug is open, or the leak takes all the pump gives. */
function neverCharged(phases: Phases, now_s: number): void {
  phases.turn(now_s, "not-charged", "It does not take the charge: look at plugs, branches and hose.", "alarm");
  phases.enterVent(now_s);
}

function chargeDone(phases: Phases, now_s: number, i: number): void {
  const { scene, stage, prompts } = phases;
  scene.flow.note(
    {
      from_s: stage.peak.from_s,
      to_s: stage.peak.at_s,
      step_Pa: stage.peak.size_Pa,
    },
    i,
  );
  stage.settled.charged_s = stage.charged_s;
  phases.enter("settle", now_s, prompts.settle(), `Charged to ${prompts.figure(stage.peak.size_Pa)}; settling.`);
}
