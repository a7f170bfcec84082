import { at } from "../curve.ts";
import type { Limits } from "../methods/limits.ts";
import type { Phase, PhaseSpan } from "../record.ts";
import { charging, idling } from "./charging.ts";
import type { Settled } from "./holdCase.ts";
import { holding } from "./holding.ts";
import type { Projection } from "./projection.ts";
import { type Prompts, promptsFor } from "./prompts.ts";
import { Scene } from "./scene.ts";
import { settling } from "./settlePhase.ts";
import { trimming } from "./trimPhase.ts";
import type { VentWatch } from "./ventWatch.ts";
import type { Ask, Bell, SettleView } from "./view.ts";

/** How a correction toward the test pressure is going. */
export interface Trimming {
  asked: "pump" | "bleed" | "hands-off" | null;
  asked_s: number;
  /** Actions seen when it was asked, to tell when the crew has answered. */
  actionsBefore: number;
  corrections: number;
  /** In the start band since; `null` outside. */
  inBand_s: number | null;
  /** The last correction was made to come right this long after it. */
  wait_s: number;
  /** Asked since then without an answer from the crew. */
  unanswered_s: number | null;
  /** Times the charge went through the band before the clock could start. */
  missed: number;
}

/** Where the test stands. Owned by one fold; every phase moves it on by one second. */
export interface Stage {
  phase: Phase;
  since_s: number;
  spans: PhaseSpan[];
  ask: Ask;
  turns: { at_s: number; code: string; text: string; bell: Bell | null }[];
  zero: { sum: number; n: number };
  peak: { size_Pa: number; at_s: number; from_s: number };
  charged_s: number | null;
  /** Left behind by the last windows that were quiet enough: what was still to come then. */
  calm: { at_s: number; coming_Pa: number; noise_Pa: number } | null;
  settled: Settled;
  settle: SettleView | null;
  trimming: Trimming;
  hold: { from_s: number; to_s: number } | null;
  /** The hold ended because the charge had gone, not by time or by its limit. */
  lost: boolean;
  projection: Projection | null;
  failSaid: boolean;
  /** Largest drop over one hold that the curve proves so far, cooling taken off. */
  smallestDrop_Pa: number;
  /** Falling through the whole start band in seconds, since. */
  grossSince_s: number | null;
  gross: { smallestDrop_Pa: number } | null;
  vent: VentWatch | null;
  /** Why the attempt ended without a person or a verdict on the pipe. */
  brokenOff: string | null;
  finished: boolean;
}

/** The causal state machine of a test: seconds of the curve go in, phases, prompts and the hold come out. */
export class Phases {
  readonly scene: Scene;
  readonly prompts: Prompts;
  readonly stage: Stage;
  /** Time now; the seconds of the curve are taken a little behind it. */
  #clock_s = 0;
  #heard_s = 0;

  constructor(limits: Limits, resolution_Pa: number) {
    this.scene = new Scene(limits, resolution_Pa);
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

const newStage = (ask: Ask): Stage => ({
  phase: "idle",
  since_s: 0,
  spans: [],
  ask,
  turns: [{ at_s: 0, code: "idle", text: ask.say, bell: null }],
  zero: { sum: 0, n: 0 },
  peak: { size_Pa: 0, at_s: 0, from_s: 0 },
  charged_s: null,
  calm: null,
  settled: {
    charged_s: null,
    lastAction_s: null,
    served_s: null,
    settled_s: null,
    coming_Pa: null,
    u_coming_Pa: null,
    tooCoarse: false,
  },
  settle: null,
  trimming: freshTrimming(),
  hold: null,
  lost: false,
  projection: null,
  failSaid: false,
  smallestDrop_Pa: 0,
  grossSince_s: null,
  gross: null,
  vent: null,
  brokenOff: null,
  finished: false,
});

export const freshTrimming = (): Trimming => ({
  asked: null,
  asked_s: 0,
  actionsBefore: 0,
  corrections: 0,
  inBand_s: null,
  wait_s: 0,
  unanswered_s: null,
  missed: 0,
});
