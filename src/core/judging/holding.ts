import { at } from "../curve.ts";
import type { Phases } from "./phases.ts";
import { project } from "./projection.ts";

/** Below this part of the test pressure the pipe has been opened or lost a plug. */
const GONE_PART = 0.1;
/** A limit passed must stay passed this long before the hold is cut for it. */
const SURE_S = 5;

/** The clock runs. Nothing ends the hold early but a limit passed for certain, or a pipe that is open. */
export function holding(phases: Phases, now_s: number, i: number): void {
  const { scene, stage, prompts } = phases;
  const hold = stage.hold;
  if (hold === null) return;
  const before = scene.actions.length;
  scene.flow.step(scene.bins, i, phases.asked());
  if (scene.actions.length > before) disturbed(phases, now_s);
  stage.projection = project(scene.bins.t_s, scene.bins.p_Pa, {
    from_s: hold.from_s,
    holdSeconds: scene.limits.hold_s,
    permitted_Pa: scene.permitted_Pa,
    test_Pa: scene.test_Pa,
    resolution_Pa: scene.resolution_Pa,
  });
  const size = at(scene.bins.p_Pa, i);
  if (size < GONE_PART * scene.test_Pa) {
    hold.to_s = now_s;
    stage.lost = true;
    phases.turn(now_s, "charge-gone", "The charge is gone: the hold is cut short.", "alarm");
    return phases.enterVent(now_s);
  }
  const seen = stage.projection;
  if (seen?.willFail === true && !stage.failSaid) {
    stage.failSaid = true;
    phases.turn(now_s, "will-fail", `On its way to ${prompts.figure(seen.end_drop_Pa)}: it will fail.`, "alarm");
  }
  if (limitPassed(phases, now_s)) {
    hold.to_s = now_s;
    phases.turn(now_s, "limit-passed", "The permitted drop is used up.", "alarm");
    return phases.enterVent(now_s);
  }
  if (now_s >= hold.to_s) phases.enterVent(hold.to_s);
}

/** Drop over the limit by 2.33 standard uncertainties, by the fit and by each of the last seconds. */
function limitPassed(phases: Phases, now_s: number): boolean {
  const { scene, stage } = phases;
  const seen = stage.projection;
  const from_s = stage.hold?.from_s ?? now_s;
  if (seen === null || now_s - from_s < SURE_S) return false;
  // What cooling may have added is not the pipe's fault, so the limit is passed for certain only beyond it.
  const { coming_Pa, u_coming_Pa } = stage.settled;
  const cooling = Math.max(0, (coming_Pa ?? 0) + 1.645 * (u_coming_Pa ?? 0));
  const over = scene.permitted_Pa + cooling + 2.33 * seen.u_drop_Pa + 2 * scene.resolution_Pa;
  if (seen.drop_Pa <= over) return false;
  for (let j = scene.bins.length - 1; j >= 0 && at(scene.bins.t_s, j) > now_s - SURE_S; j--) {
    if (seen.start_Pa - at(scene.bins.p_Pa, j) <= over) return false;
  }
  return true;
}

function disturbed(phases: Phases, now_s: number): void {
  const action = phases.scene.flow.actions.at(-1);
  if (action === undefined) return;
  const moved = phases.prompts.figure(Math.abs(action.step_Pa));
  const text = action.step_Pa > 0 ? `The pressure jumped up by ${moved} during the hold.` : `The pressure fell by ${moved} at once.`;
  phases.turn(now_s, "disturbed", text, "alarm");
}
