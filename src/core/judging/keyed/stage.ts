import type { Bell } from "../view.ts";
import type { WaterStage } from "../water/waterStage.ts";
import type { Answer, Calls } from "./calls.ts";
import type { KeyedReading } from "./eye.ts";

/** What was said to have been done to the pipe. */
export interface Touch {
  at_s: number;
  kind: "pumped" | "bled";
}

/** All that a keyed test has come to so far; `stage` is where it stands and what is asked. */
export class KeyedState {
  readonly stage: WaterStage;
  readonly readings: KeyedReading[] = [];
  readonly touches: Touch[] = [];
  /** With the pipe open, before charging. */
  zero_Pa: number | null = null;
  charged_s: number | null = null;
  hold: { from_s: number; to_s: number } | null = null;
  calls: Calls | null = null;
  /** Typed in the hold and hard to believe: it waits to be typed again, or to be put right. */
  doubt: KeyedReading | null = null;
  /** At or after the time of the hold. */
  end: KeyedReading | null = null;
  /** With the pipe opened after the hold. */
  opened: KeyedReading | null = null;
  proven = false;
  /** What the tube was asked to be brought to, and how long hands are then off. */
  asked: { to_Pa: number; wait_s: number } | null = null;
  /** What the crew waits for before its start reading, s of the test. */
  restsUntil_s: number | null = null;
  /** A reading is wanted now, since when. */
  calledAt_s: number | null = null;

  constructor(stage: WaterStage) {
    this.stage = stage;
  }

  /** The readings of the hold, its start first. */
  get held(): KeyedReading[] {
    const { hold } = this;
    if (hold === null) return [];
    const last_s = this.end?.at_s ?? Number.POSITIVE_INFINITY;
    return this.readings.filter(({ at_s }) => at_s >= hold.from_s && at_s <= last_s && (this.opened === null || at_s < this.opened.at_s));
  }

  get answers(): readonly Answer[] {
    return this.calls?.answers ?? [];
  }

  /** Rings again for a reading that has not come. */
  callAgain(at_s: number): void {
    this.calledAt_s = at_s;
    this.turn(at_s, "ask", this.stage.ask.say, "ask");
  }

  turn(at_s: number, code: string, text: string, bell: Bell | null): void {
    this.stage.turn(at_s, code, text, bell);
  }
}
