import type { WaterLimits } from "../../methods/waterPlan.ts";
import type { Bell } from "../view.ts";
import type { WaterPrompts } from "./prompts.ts";
import { RiseWatch, WaterStage } from "./waterStage.ts";

/** A level that has not risen by a tenth of the band for this long: filling is over. Common practice, no source. */
const FILLED_s = 60;
/** The same before the clock starts: nobody is pouring any more. */
const STILL_s = 20;
/** With a head told, the level is given this long to be brought up to it before it may start lower within the band. */
const PATIENCE_s = 300;
/** Then the clock starts wherever the level stands, or, where nobody types it, the attempt is given up. */
const NEVER_s = 3600;
/** A final top-up may come this long after the time is up: EN 1610's ± 1 min. */
const LAST_MINUTE_s = 60;
/** Readings on both sides of the end, so that a fall does not shift it. */
const AFTER_END_s = 6;

export interface WaterPhaseParts {
  water: WaterLimits;
  settle_s: number;
  hold_s: number;
  test_Pa: number;
  prompts: WaterPrompts;
  keyed: boolean;
  read: boolean;
  /** The hold begins here whatever is seen: a recording whose crew wrote it down. */
  holdFrom_s: number | null;
}

/** The causal state machine of a water test: levels and entries go in, prompts and the hold come out. */
export class WaterPhases {
  readonly stage: WaterStage;
  readonly #parts: WaterPhaseParts;
  readonly #rise: RiseWatch;
  charged_s: number | null = null;
  target_Pa: number | null;
  hold: { from_s: number; to_s: number } | null = null;
  /** The crew said that the level was back at its mark after the time was up. */
  back_s: number | null = null;
  #head_Pa: number | null = null;

  constructor(parts: WaterPhaseParts) {
    this.#parts = parts;
    this.target_Pa = parts.water.told ? parts.test_Pa : null;
    this.#rise = new RiseWatch(parts.water.band_Pa / 10);
    this.stage = new WaterStage(parts.prompts.fill());
  }

  /** A level of the water, from the gauge or typed. */
  level(at_s: number, head_Pa: number): void {
    this.#rise.level(at_s, head_Pa);
    this.#head_Pa = head_Pa;
    const { phase } = this.stage;
    if (phase === "idle" && (this.#parts.keyed || head_Pa > 0.1 * this.#parts.water.low_Pa)) this.#fillOn(at_s, head_Pa);
    if (this.stage.phase === "charge") this.#filling(at_s, head_Pa);
    else if (phase === "settle") this.#conditioning(at_s, head_Pa);
    else if (phase === "trim") this.#trimming(at_s, head_Pa);
    else if (phase === "hold") this.#holding(at_s, head_Pa);
  }

  /** After the time is up the head was typed and its surface is known: the end is measured. */
  measuredEnd(at_s: number): void {
    if (this.hold === null || this.stage.phase !== "hold") return;
    this.hold.to_s = Math.min(at_s, this.hold.to_s + LAST_MINUTE_s);
    this.#over(at_s);
  }

  /** Litres were typed; after the time is up that says the level is back at its mark. */
  entry(at_s: number): void {
    if (this.hold === null || this.stage.phase !== "hold" || at_s < this.hold.to_s) return;
    this.back_s = at_s;
    this.hold.to_s = Math.min(at_s, this.hold.to_s + LAST_MINUTE_s);
    this.#over(at_s);
  }

  /** Time has passed, with or without readings. */
  time(now_s: number): void {
    const { stage, charged_s, hold } = this;
    const { settle_s, holdFrom_s } = this.#parts;
    if (holdFrom_s !== null && hold === null && now_s >= holdFrom_s) this.#begin(holdFrom_s);
    if (stage.phase === "settle" && charged_s !== null && now_s >= charged_s + settle_s) this.#conditioned(charged_s + settle_s);
    if (stage.phase === "trim" && now_s - stage.since_s > NEVER_s) this.#never(now_s);
    if (stage.phase === "hold" && this.hold !== null) this.#holdTime(now_s, this.hold.to_s);
  }

  turn(at_s: number, code: string, text: string, bell: Bell | null): void {
    this.stage.turn(at_s, code, text, bell);
  }

  #fillOn(at_s: number, head_Pa: number): void {
    this.charged_s = null;
    this.#rise.rising_s = at_s;
    this.stage.enter("charge", at_s, this.#parts.prompts.fill(), `Filling: ${this.#parts.prompts.head(head_Pa)} so far.`);
  }

  #filling(at_s: number, head_Pa: number): void {
    const { water, keyed, prompts } = this.#parts;
    const still_s = at_s - this.#rise.rising_s;
    if (head_Pa > water.high_Pa) return this.stage.say(prompts.lower(this.target_Pa ?? water.high_Pa), at_s);
    const least_Pa = this.target_Pa === null ? water.low_Pa : this.target_Pa - water.band_Pa;
    if (head_Pa < least_Pa) {
      if (keyed || still_s > FILLED_s) this.stage.say(prompts.fillOn(head_Pa), at_s);
      return;
    }
    if (!keyed && still_s < FILLED_s) return;
    this.charged_s = keyed ? at_s : this.#rise.rising_s;
    this.stage.enter("settle", at_s, prompts.condition(), `Filled to ${prompts.head(head_Pa)}.`);
  }

  #conditioning(at_s: number, head_Pa: number): void {
    const { water, prompts, test_Pa } = this.#parts;
    const target_Pa = this.target_Pa ?? test_Pa;
    // Half empty is not conditioning any more: it begins anew.
    if (head_Pa < water.low_Pa / 2) return this.#fillOn(at_s, head_Pa);
    if (head_Pa > water.high_Pa) this.stage.say(prompts.lower(target_Pa), at_s);
    else if (head_Pa < Math.max(water.low_Pa, (this.target_Pa ?? water.low_Pa) - water.band_Pa))
      this.stage.say(prompts.keepFull(target_Pa), at_s);
    else if (this.stage.ask.act.act !== "wait" && at_s - this.#rise.rising_s > STILL_s) this.stage.say(prompts.condition(), at_s);
  }

  #conditioned(at_s: number): void {
    const target_Pa = this.target_Pa ?? this.#head_Pa ?? this.#parts.test_Pa;
    const { water, prompts } = this.#parts;
    const near_Pa = Math.min(Math.max(target_Pa, water.low_Pa), water.high_Pa);
    this.stage.enter("trim", at_s, prompts.toTestHead(near_Pa), "Conditioning is over.");
  }

  #trimming(at_s: number, head_Pa: number): void {
    const { water, keyed, prompts } = this.#parts;
    // Told when the crew began: nothing begins before.
    if (this.#parts.holdFrom_s !== null) return;
    const inside = head_Pa >= water.low_Pa && head_Pa <= water.high_Pa;
    const target_Pa = this.target_Pa ?? head_Pa;
    const off_Pa = head_Pa - target_Pa;
    const near = inside && Math.abs(off_Pa) <= water.band_Pa;
    if (!near && keyed) {
      const text = `${prompts.head(head_Pa)} is no head the 30 min can start from.`;
      this.turn(at_s, "outside", text, "ask");
    }
    if (near && keyed) return this.#begin(at_s);
    if (!near || at_s - this.#rise.rising_s < STILL_s || at_s - this.stage.since_s < STILL_s) return;
    const waited_s = at_s - this.stage.since_s;
    if (off_Pa >= -0.2 * water.band_Pa || waited_s > PATIENCE_s) this.#begin(at_s);
  }

  #never(now_s: number): void {
    if (this.#head_Pa !== null && !this.#parts.keyed) return this.#begin(now_s);
    this.stage.enter(
      "vent",
      now_s,
      this.#parts.prompts.empty(),
      "Nobody said that the level stood at the test head: the attempt is given up.",
    );
    this.stage.finished = true;
  }

  #begin(from_s: number): void {
    const { hold_s, prompts } = this.#parts;
    this.target_Pa ??= this.#head_Pa;
    this.hold = { from_s, to_s: from_s + hold_s };
    this.stage.enter(
      "hold",
      from_s,
      prompts.hold(),
      `The clock runs${this.#head_Pa === null ? "" : ` from ${prompts.head(this.#head_Pa)}`}.`,
    );
  }

  #holding(at_s: number, head_Pa: number): void {
    const { water, prompts } = this.#parts;
    if (this.hold === null || this.target_Pa === null || at_s >= this.hold.to_s - LAST_MINUTE_s) return;
    if (head_Pa < this.target_Pa - 0.6 * water.band_Pa) this.stage.say(prompts.topUp(this.target_Pa), at_s);
    else if (head_Pa > this.target_Pa + water.band_Pa) this.stage.say(prompts.lower(this.target_Pa), at_s);
    else if (head_Pa > this.target_Pa - 0.2 * water.band_Pa) this.stage.say(prompts.hold(), at_s);
  }

  #holdTime(now_s: number, to_s: number): void {
    const { prompts, read } = this.#parts;
    if (now_s >= to_s - LAST_MINUTE_s && now_s < to_s) this.stage.say(prompts.soon(), now_s);
    if (now_s < to_s) return;
    if (read) {
      if (now_s >= to_s + AFTER_END_s) this.#over(now_s);
      return;
    }
    this.stage.say(prompts.back(), Math.max(to_s, Math.min(now_s, to_s + 1)));
    if (now_s > to_s + LAST_MINUTE_s) this.#over(now_s);
  }

  #over(now_s: number): void {
    this.stage.enter("vent", now_s, this.#parts.prompts.empty(), "The 30 min are over.");
    this.stage.finished = true;
  }
}
