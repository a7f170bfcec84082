import { at } from "../curve.ts";
import { bandLow_Pa } from "./charging.ts";
import { NOBODY_S, nobodyThere, watchingGross, watchLoss } from "./grossLeak.ts";
import type { Phases } from "./phases.ts";
import { HOSE_S } from "./settling.ts";
import { freshTrimming } from "./stage.ts";

/** The longest settling: after it the reasons are said and the hold is tried all the same. */
const longest_s = (settle_s: number): number => Math.max(2 * settle_s, 600);

/** Below this part of the test pressure the pipe has been opened. */
const EMPTY_PART = 0.05;

/** The air comes to the wall's temperature. Topping up is allowed and restarts only the check of the transient. */
export function settling(phases: Phases, now_s: number, i: number): void {
  const { scene, stage, prompts } = phases;
  const size = at(scene.bins.p_Pa, i);
  if (size < EMPTY_PART * scene.test_Pa) return opened(phases, now_s);
  scene.flow.step(scene.bins, i, phases.asked());
  watchCalm(phases, now_s);
  const minimumLeft_s = Math.max(0, (stage.charged_s ?? now_s) + scene.limits.settle_s - now_s);
  watchLoss(phases, now_s);
  if (stage.phase !== "settle" || watchingGross(phases, now_s, size)) return;
  if (stage.ask.act.act === "pump" && now_s - stage.trimming.asked_s > NOBODY_S) return nobodyThere(phases, now_s);
  keepUp(phases, now_s, size, minimumLeft_s);
  showSettling(phases, now_s, minimumLeft_s);
  if (minimumLeft_s > 0 || scene.flow.moving) return;
  if (!mayTrim(phases, now_s)) return;
  stage.trimming = freshTrimming();
  stage.settled.served_s = now_s - (stage.charged_s ?? now_s);
  phases.enter("trim", now_s, prompts.wait(), "Settled long enough; bringing it to the test pressure.");
}

/** Looks at the change of slope since the last action and keeps the result. */
export function watchCalm(phases: Phases, now_s: number): void {
  const { scene, stage } = phases;
  const seen = scene.flow.moving ? null : scene.transient(scene.lastAction_s);
  if (seen === null) return;
  stage.calm = {
    at_s: now_s,
    coming_Pa: seen.coming_Pa,
    noise_Pa: seen.noise_Pa,
  };
  stage.settled.tooCoarse = seen.tooCoarse;
  const quiet = Math.abs(seen.coming_Pa) + seen.noise_Pa <= scene.allowance_Pa;
  if (quiet && stage.settled.settled_s === null) stage.settled.settled_s = now_s;
  if (!quiet) stage.settled.settled_s = null;
}

/** What was seen to come dies down at least as fast as a warm wall lets it: 250 s at the longest; a working guess, no source. */
const slowest_s = (tau_s: number): number => Math.max(3 * tau_s, Math.min(5 * tau_s, 250));

/**
 * Transient still to come, largest plausible on either side: what the last calm windows saw, plus what steps since then
 * can give back at most. `null` when neither windows nor physics say anything small yet.
 */
export function stillToCome(phases: Phases, now_s: number): { coming_Pa: number; u_Pa: number; worst_Pa: number } {
  const { scene, stage } = phases;
  const all = scene.bound(Number.NEGATIVE_INFINITY, now_s);
  const byPhysics = {
    coming_Pa: (all.adds_Pa - all.hides_Pa) / 2,
    u_Pa: (all.adds_Pa + all.hides_Pa) / 2 / 1.645,
    worst_Pa: Math.max(all.adds_Pa, all.hides_Pa),
  };
  const calm = stage.calm;
  if (calm === null) return byPhysics;
  const later = scene.bound(calm.at_s, now_s);
  const left_Pa = calm.coming_Pa * Math.exp(-(now_s - calm.at_s) / slowest_s(scene.tau_s));
  const coming_Pa = left_Pa + (later.adds_Pa - later.hides_Pa) / 2;
  const u_Pa = (calm.noise_Pa + (later.adds_Pa + later.hides_Pa) / 2) / 1.645;
  const worst_Pa = Math.abs(left_Pa) + calm.noise_Pa + Math.max(later.adds_Pa, later.hides_Pa);
  return worst_Pa <= byPhysics.worst_Pa ? { coming_Pa, u_Pa, worst_Pa } : byPhysics;
}

export const overdue = (phases: Phases, now_s: number): boolean =>
  now_s - (phases.stage.charged_s ?? now_s) >= longest_s(phases.scene.limits.settle_s);

function mayTrim(phases: Phases, now_s: number): boolean {
  const { scene } = phases;
  if (overdue(phases, now_s)) return true;
  if (now_s - scene.lastAction_s < HOSE_S + 3) return false;
  return stillToCome(phases, now_s).worst_Pa <= scene.allowance_Pa || leavingBand(phases);
}

/** A pipe that loses its charge faster than it settles is trimmed at once: waiting would only cost another top-up. */
function leavingBand(phases: Phases): boolean {
  const fall = phases.scene.fall_Pa_s();
  return fall !== null && phases.scene.now_Pa() < phases.scene.test_Pa - phases.scene.tolerance_Pa;
}

/** While time is being served the charge is kept up: below the test pressure air is asked for. */
function keepUp(phases: Phases, now_s: number, size: number, minimumLeft_s: number): void {
  const { scene, stage, prompts } = phases;
  const asked = stage.ask.act.act === "pump";
  if (asked && !scene.flow.moving && size >= bandLow_Pa(phases) && now_s - stage.trimming.asked_s > 2)
    phases.say(prompts.settle(), now_s, null);
  if (asked && !scene.flow.moving && scene.lastAction_s > stage.trimming.asked_s && now_s - scene.lastAction_s > HOSE_S + 5)
    phases.say(prompts.settle(), now_s, null);
  if (stage.ask.act.act === "pump" || scene.flow.moving) return;
  if (now_s - scene.lastAction_s < HOSE_S) return;
  if (size >= scene.test_Pa || minimumLeft_s <= 20) return;
  const fall_Pa = Math.max(0, scene.fall_Pa_s() ?? Number.POSITIVE_INFINITY) * minimumLeft_s;
  if (size - fall_Pa >= scene.test_Pa - scene.band_Pa) return;
  stage.trimming.asked_s = now_s;
  phases.say(prompts.topUp(scene.charge_Pa), now_s);
}

function showSettling(phases: Phases, now_s: number, minimumLeft_s: number): void {
  const { scene, stage } = phases;
  const come = stillToCome(phases, now_s);
  const late = minimumLeft_s === 0 && overdue(phases, now_s) ? LATE : null;
  if (late !== null && stage.settle?.late === null) phases.turn(now_s, "settling-late", late, "ask");
  stage.settle = {
    minimumLeft_s,
    coming_Pa: come.worst_Pa,
    allowance_Pa: scene.allowance_Pa,
    late,
  };
}

const LATE =
  "It will not come to rest: sun or wind on the pipe, warm air from the compressor, or a creeping plug. Shade it, brace the plugs; the hold is tried all the same.";

/** The pipe was opened while settling: the attempt starts again from the charge. */
export function opened(phases: Phases, now_s: number): void {
  const { stage, prompts } = phases;
  stage.charged_s = null;
  stage.calm = null;
  stage.peak = { size_Pa: 0, at_s: now_s, from_s: now_s };
  phases.enter("idle", now_s, prompts.charge(), "The charge is gone.");
}
