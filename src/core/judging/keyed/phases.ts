import { type Limits, signOf } from "../../methods/limits.ts";
import { airTimeConstant_s } from "../settling.ts";
import type { Bell } from "../view.ts";
import { WaterStage } from "../water/waterStage.ts";
import { charging, chargingTime, settling, settlingTime } from "./charging.ts";
import type { KeyedReading } from "./eye.ts";
import { holding, holdTime, opening, settleDoubt } from "./holding.ts";
import { type KeyedPrompts, keyedPrompts } from "./prompts.ts";
import { KeyedState, type Touch } from "./stage.ts";
import { starting, startingTime } from "./starting.ts";

/** Nothing typed for this long: the crew has gone, s. */
const NOBODY_s = 3600;
/** After the hold an opened tube is waited for this long, s. */
const OPENED_WAIT_s = 600;

/** Figures of the method as sizes of the charge, positive for a vacuum too. */
export interface KeyedFigures {
  limits: Limits;
  charge_Pa: number;
  test_Pa: number;
  tolerance_Pa: number;
  tau_s: number;
  prompts: KeyedPrompts;
}

/** The causal state machine of a test read by eye: readings, words and time go in; calls and the hold come out. */
export class KeyedPhases {
  readonly state: KeyedState;
  readonly figures: KeyedFigures;
  #typed_s = 0;

  constructor(limits: Limits) {
    const sign = signOf(limits);
    this.figures = {
      limits,
      charge_Pa: sign * limits.charge_Pa,
      test_Pa: sign * limits.test_Pa,
      tolerance_Pa: limits.startTolerance_Pa,
      tau_s: airTimeConstant_s(limits.dn_mm),
      prompts: keyedPrompts(limits),
    };
    this.state = new KeyedState(new WaterStage(this.figures.prompts.charge()));
  }

  get stage(): WaterStage {
    return this.state.stage;
  }

  turn(at_s: number, code: string, text: string, bell: Bell | null): void {
    this.state.turn(at_s, code, text, bell);
  }

  reading(reading: KeyedReading, starts: boolean): void {
    const { state, figures } = this;
    this.#typed_s = reading.at_s;
    const { phase } = state.stage;
    if (phase === "hold") return holding(state, figures, reading);
    state.readings.push(reading);
    this.turn(reading.at_s, "read", `Read: ${figures.prompts.figure(reading.size_Pa)}.`, null);
    if (phase === "idle" || phase === "charge") charging(state, figures, reading);
    else if (phase === "settle") settling(state, figures, reading, starts);
    else if (phase === "trim") starting(state, figures, reading, starts);
    else opening(state, figures, reading);
  }

  touched(touch: Touch): void {
    const { state } = this;
    this.#typed_s = touch.at_s;
    state.touches.push(touch);
    const held = state.stage.phase === "hold";
    const what = touch.kind === "pumped" ? "Air was put in" : "Air was let out";
    const pass = touch.kind === "pumped" ? "it can no longer pass." : "it can no longer fail.";
    this.turn(touch.at_s, touch.kind, held ? `${what} during the hold: ${pass}` : `${what}: noted.`, held ? "alarm" : null);
    if (state.stage.phase === "trim") state.restsUntil_s = null;
  }

  /** The crew leaves the gauge unproven. */
  skip(at_s: number): void {
    if (this.stage.phase === "vent") this.#finish(at_s, "The vent check is skipped.");
  }

  /** The attempt ends: what waits to be put right counts as it was typed. */
  end(): void {
    settleDoubt(this.state, this.figures);
  }

  /** Time has passed. */
  time(now_s: number): void {
    const { state, figures, stage } = this;
    if (stage.finished) return;
    if (stage.phase === "charge") chargingTime(state, now_s, this.#typed_s);
    if (stage.phase === "settle") settlingTime(state, figures, now_s);
    if (stage.phase === "trim") startingTime(state, now_s, figures);
    if (stage.phase === "hold") holdTime(state, figures, now_s);
    if (stage.phase === "vent" && now_s - Math.max(stage.since_s, this.#typed_s) > OPENED_WAIT_s)
      this.#finish(now_s, "Nobody said that the tube fell to 0.");
    if (now_s - this.#typed_s > NOBODY_s + figures.limits.settle_s && stage.phase !== "hold")
      this.#finish(now_s, "Nobody types any more: the attempt is given up.");
  }

  #finish(at_s: number, text: string): void {
    this.turn(at_s, "given-up", text, "alarm");
    this.stage.finished = true;
  }
}
