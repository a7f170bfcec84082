import { giveUp, NOBODY_S, nobodyThere, watchingGross, watchLoss } from "./grossLeak.ts";
import type { Phases } from "./phases.ts";
import { opened, overdue, stillToCome, watchCalm } from "./settlePhase.ts";
import { HOSE_S } from "./settling.ts";
import { trimAdvice } from "./trim.ts";

/** Inside this part of the band nothing is gained by waiting. */
const NEAR_PART = 0.15;
/** In the band, this long is spent on coming nearer to the test pressure. */
const NEARER_S = 20;
/** A correction that allowed for a fall is given this much longer to come right. */
const PATIENCE_S = 20;
/** No trim takes longer; what has not come right by then will not. */
const LONGEST_S = 900;
/** A crew that does not answer within this time is asked again. */
const ANSWER_S = 90;

/** Brings the charge into the start band; starts the hold when it is there, quiet, and the valve has been shut long enough. */
export function trimming(phases: Phases, now_s: number, i: number): void {
  const { scene, stage } = phases;
  const trim = stage.trimming;
  scene.flow.step(scene.bins, i, phases.asked());
  watchCalm(phases, now_s);
  watchLoss(phases, now_s);
  if (stage.trimming.unanswered_s !== null && now_s - stage.trimming.unanswered_s > NOBODY_S) return nobodyThere(phases, now_s);
  if (scene.flow.moving || now_s - scene.lastAction_s < HOSE_S) {
    trim.inBand_s = null;
    return;
  }
  const size = scene.now_Pa();
  if (size < 0.05 * scene.test_Pa) return opened(phases, now_s);
  const inBand = Math.abs(size - scene.test_Pa) <= scene.band_Pa;
  if (!inBand && trim.inBand_s !== null && size < scene.test_Pa) trim.missed++;
  trim.inBand_s = inBand ? (trim.inBand_s ?? now_s) : null;
  if (watchingGross(phases, now_s, size)) return;
  if (trim.missed >= 3 || now_s - stage.since_s > LONGEST_S) return giveUp(phases, now_s);
  if (inBand) return inTheBand(phases, now_s, size);
  advise(phases, now_s, size);
}

function inTheBand(phases: Phases, now_s: number, size: number): void {
  const { scene, stage, prompts } = phases;
  const trim = stage.trimming;
  trim.asked = null;
  const come = stillToCome(phases, now_s);
  const quiet = come.worst_Pa <= scene.allowance_Pa || cannotWait(phases, now_s, come) || overdue(phases, now_s);
  const fall = scene.fall_Pa_s() ?? 0;
  const near = Math.abs(size - scene.test_Pa) <= NEAR_PART * scene.tolerance_Pa;
  const goingAway = (size - scene.test_Pa) * fall <= 0;
  const waited = now_s - (trim.inBand_s ?? now_s) >= NEARER_S;
  if (quiet && (near || goingAway || waited)) return startHold(phases, now_s);
  phases.say(prompts.wait(), now_s, null);
}

/**
 * A pipe that leaves the band before it can be shown to have settled will not wait. Cooling that is still to come only adds to
 * the drop, so it cannot make a leaking pipe pass; what it does to a fail is left to the judgement of the hold.
 */
function cannotWait(phases: Phases, now_s: number, come: { coming_Pa: number; u_Pa: number }): boolean {
  const { scene, stage } = phases;
  if (come.coming_Pa - 1.645 * come.u_Pa < -scene.allowance_Pa) return false;
  if (stage.trimming.missed > 0) return true;
  return scene.leaving() && scene.likely(now_s).adds_Pa <= scene.allowance_Pa;
}

function advise(phases: Phases, now_s: number, size: number): void {
  const { scene, stage, prompts } = phases;
  const trim = stage.trimming;
  const answered = scene.actions.length > trim.actionsBefore;
  const waiting = trim.asked === "pump" || trim.asked === "bleed";
  if (waiting && !answered && now_s - trim.asked_s < ANSWER_S) return;
  if (waiting && answered) {
    trim.asked = null;
    trim.unanswered_s = null;
    phases.say(prompts.wait(), now_s, null);
  }
  const fall = scene.fall_Pa_s();
  if (fall === null) return;
  // One correction, then it lives with what it has: the figure asked for was meant to come right only after a while.
  const above = size > scene.test_Pa;
  if (above && trim.corrections > 0 && now_s - scene.lastAction_s < trim.wait_s + PATIENCE_S) return;
  const advice = trimAdvice({
    now_Pa: size,
    fall_Pa_s: fall,
    test_Pa: scene.test_Pa,
    tolerance_Pa: scene.band_Pa,
    tau_s: scene.tau_s,
    allowance_Pa: scene.allowance_Pa,
    pending_Pa: stillToCome(phases, now_s).worst_Pa,
    shows_s: 2 * scene.affordable_s() + HOSE_S + 5,
    charge_Pa: Math.max(scene.charge_Pa, 1.1 * scene.test_Pa),
  });
  if (advice.do === "wait") return;
  if (advice.do === "hands-off") {
    trim.asked = "hands-off";
    return phases.say(prompts.handsOff(), now_s);
  }
  if (trim.asked !== null && !answered) trim.unanswered_s ??= trim.asked_s;
  trim.wait_s = advice.wait_s;
  trim.asked = advice.do;
  trim.asked_s = now_s;
  trim.actionsBefore = scene.actions.length;
  trim.corrections++;
  phases.say(advice.do === "pump" ? prompts.topUp(advice.to_Pa) : prompts.bleed(advice.to_Pa), now_s);
}

function startHold(phases: Phases, now_s: number): void {
  const { scene, stage, prompts } = phases;
  const come = stillToCome(phases, now_s);
  stage.settled.coming_Pa = come.coming_Pa;
  stage.settled.u_coming_Pa = come.u_Pa;
  stage.settled.lastAction_s = scene.lastAction_s;
  if (come.worst_Pa <= scene.allowance_Pa) stage.settled.settled_s ??= now_s;
  stage.settled.served_s = now_s - (stage.charged_s ?? now_s);
  stage.hold = { from_s: now_s, to_s: now_s + scene.limits.hold_s };
  phases.enter("hold", now_s, prompts.hold(), `Hold started at ${prompts.figure(scene.now_Pa())}; hands off.`);
}
