import { at } from "../curve.ts";
import type { Limits } from "../methods/limits.ts";
import type { Phase } from "../record.ts";
import { charging, idling } from "./charging.ts";
import { holding } from "./holding.ts";
import { type Prompts, promptsFor } from "./prompts.ts";
import { Scene } from "./scene.ts";
import { settling } from "./settlePhase.ts";
import { newStage, type Stage } from "./stage.ts";
import { trimming } from "./trimPhase.ts";
import type { Ask, Bell } from "./view.ts";

/** The causal state machine of a test: seconds of the curve go in, phases, prompts and the hold come out. */
export class Phases {
  readonly scene: Scene;
  readonly prompts: Prompts;
  readonly stage: Stage;
  /** Time now; the seconds of the curve are taken a little behind it. */
  #clock_s = 0;
  #heard_s = 0;

  constructor(limits: Limits, resolution_Pa: number, unfiltered = false) {
    this.scene = new Scene(limits, resolution_Pa, unfiltered);
    this.prompts = promptsFor(limits);
    this.stage = newStage(this.prompts.zero());
  }

  /** A second has become final. */
  second(): void {
    const i = this.scene.bins.length - 1;
    const now_s = at(this.scene.bins.t_s, i);
    this.#heard_s = now_s;
    STEPS[this.stage.phase](this, now_s, i);
  }

  /** Time has passed, with or without readings: what a dead gauge must not hold up. */
  time(now_s: number): void {
    const { stage } = this;
    this.#clock_s = Math.max(this.#clock_s, now_s);
    if (stage.phase === "hold" && stage.hold !== null && now_s >= stage.hold.to_s + 1) this.enterVent(stage.hold.to_s);
    if (stage.phase === "vent") this.ventTime(now_s);
    else if (stage.phase !== "hold" && now_s - this.#heard_s > SILENT_S) this.#fellSilent(now_s);
  }

  /** Nothing has come for so long before any hold: there is nothing to wait for. */
  #fellSilent(now_s: number): void {
    if (this.stage.finished) return;
    this.stage.brokenOff = "the gauge fell silent before a hold could start";
    this.stage.finished = true;
    this.turn(now_s, "gauge-silent", "The gauge has been silent for ten minutes: the attempt is over.", "alarm");
  }

  enter(phase: Phase, now_s: number, ask: Ask, text: string, bell: Bell = "turn"): void {
    const { stage } = this;
    stage.spans.push({
      phase: stage.phase,
      from_s: stage.since_s,
      to_s: now_s,
    });
    stage.phase = phase;
    stage.since_s = now_s;
    stage.ask = ask;
    this.turn(now_s, phase, text, bell);
  }

  /** Which way the crew has been asked to move air: +1 in, −1 out, 0 not at all. */
  asked(): -1 | 0 | 1 {
    const { act } = this.stage.ask.act;
    return act === "pump" ? 1 : act === "bleed" ? -1 : 0;
  }

  /** Changes what the crew is asked; the same request again changes nothing. */
  say(ask: Ask, now_s: number, bell: Bell | null = "ask"): void {
    if (ask.say === this.stage.ask.say) return;
    this.stage.ask = ask;
    this.turn(now_s, "ask", ask.say, bell);
  }

  turn(at_s: number, code: string, text: string, bell: Bell | null): void {
    this.stage.turns.push({ at_s: Math.max(at_s, this.#clock_s), code, text, bell });
  }

  enterVent(now_s: number): void {
    const { stage } = this;
    if (stage.hold !== null && stage.phase === "hold") stage.hold.to_s = Math.min(stage.hold.to_s, now_s);
    this.enter("vent", now_s, this.prompts.vent(), stage.hold === null ? "No hold was possible." : "Hold over.");
  }

  /** The opening must be seen; waiting for it ends after two minutes without any fall, five with one. */
  ventTime(now_s: number): void {
    const { stage } = this;
    const waited = now_s - stage.since_s;
    const watch = stage.vent;
    const emptied = watch?.empty_s ?? null;
    const patience = watch?.begun === true ? 300 : 120;
    if ((emptied !== null && now_s - emptied >= ZERO_AFTER_S) || waited > patience) stage.finished = true;
  }
}

/** The open pipe is listened to this long: the gauge's zero after the test tells whether it has moved. */
const ZERO_AFTER_S = 8;
/** Silence before a hold that ends the attempt. */
const SILENT_S = 600;

const STEPS: Record<Phase, (phases: Phases, now_s: number, i: number) => void> = {
  idle: idling,
  charge: charging,
  settle: settling,
  trim: trimming,
  hold: holding,
  vent: () => undefined,
};
