import { at } from "../curve.ts";
import { indexFrom } from "./lineAt.ts";
import type { Phases } from "./phases.ts";
import { boundOfActions, GIVEN_BACK, HOSE_S } from "./settling.ts";

/** A shorter look than this at an untouched pipe proves no leak. */
const LEAST_LOOK_S = 10;
/** Nobody has answered for so long: the attempt is over. */
export const NOBODY_S = 300;
/** A pipe that falls through the whole start band in this time cannot be timed. */
const BAND_S = 10;
/** How long such a fall is watched for proof. */
const WATCH_S = 90;

/**
 * The drop over one hold that the untouched pipe proves: what was lost since the flow stopped, less all that cooling can
 * give back, carried on at the leak's own pace. Keeps the largest.
 */
export function watchLoss(phases: Phases, now_s: number): void {
  const { scene, stage } = phases;
  const since = scene.lastAction_s + HOSE_S;
  if (scene.flow.moving || now_s - since < LEAST_LOOK_S) return;
  const begin = indexFrom(scene.bins.t_s, since);
  if (begin >= scene.bins.length - 3) return;
  const first = at(scene.bins.p_Pa, begin);
  const last = at(scene.bins.p_Pa, scene.bins.length - 1);
  const elapsed = now_s - at(scene.bins.t_s, begin);
  const cooling = boundOfActions(scene.actions, since, 3 * scene.tau_s).adds_Pa;
  const byLeak = first - last - cooling - 2 * scene.resolution_Pa;
  if (byLeak <= 0 || last <= 0) return;
  const decay = -Math.log(1 - Math.min(0.99, byLeak / first)) / elapsed;
  const overHold = scene.test_Pa * (1 - Math.exp(-decay * scene.limits.hold_s));
  stage.smallestDrop_Pa = Math.max(stage.smallestDrop_Pa, overHold);
}

/** True while a gross leak is being watched or has just ended the attempt: nothing else is to be asked then. */
export function watchingGross(phases: Phases, now_s: number, size_Pa: number): boolean {
  const { scene, stage, prompts } = phases;
  if (!fallsThroughBand(phases)) {
    stage.grossSince_s = null;
    return false;
  }
  stage.grossSince_s ??= now_s;
  if (now_s - stage.grossSince_s < 3) return false;
  phases.say(prompts.watchFall(), now_s);
  const proven = stage.smallestDrop_Pa > 1.1 * scene.permitted_Pa;
  if (proven || size_Pa < 0.3 * scene.test_Pa || now_s - stage.grossSince_s > WATCH_S) giveUp(phases, now_s);
  return true;
}

function fallsThroughBand(phases: Phases): boolean {
  const { scene } = phases;
  const line = scene.trend(10);
  if (line === null || line.n < 3) return false;
  const cooling = (GIVEN_BACK * Math.max(0, scene.actions.at(-1)?.step_Pa ?? 0)) / (0.4 * scene.tau_s);
  const gone_s = Math.max(0, line.meanT - scene.lastAction_s);
  const leak = -line.slope - cooling * Math.exp(-gone_s / (3 * scene.tau_s));
  return leak * BAND_S > 2 * scene.tolerance_Pa;
}

export function nobodyThere(phases: Phases, now_s: number): void {
  phases.turn(now_s, "nobody", "Nobody has touched the valve for five minutes: the attempt is given up.", "alarm");
  phases.enterVent(now_s);
}

/** The clock cannot be started on this pipe; the smallest drop the fall allows decides fail or void. */
export function giveUp(phases: Phases, now_s: number): void {
  const { stage, prompts } = phases;
  const drop_Pa = stage.smallestDrop_Pa;
  stage.gross = { smallestDrop_Pa: drop_Pa };
  const lost = drop_Pa > 0 ? `would lose ${prompts.figure(drop_Pa)} or more` : "loses its charge before the clock can start";
  phases.turn(now_s, "gross-leak", `The pipe ${lost}: look at the plugs, then find the leak.`, "alarm");
  phases.enterVent(now_s);
}
