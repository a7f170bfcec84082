import type { Phase, PhaseSpan } from "../../record.ts";
import type { Ask, Bell, Turn } from "../view.ts";

/** Where a water test stands, what is asked and what was said. */
export class WaterStage {
  phase: Phase = "idle";
  since_s = 0;
  readonly spans: PhaseSpan[] = [];
  readonly turns: Turn[];
  ask: Ask;
  finished = false;

  constructor(ask: Ask) {
    this.ask = ask;
    this.turns = [{ at_s: 0, code: "idle", text: ask.say, bell: null }];
  }

  enter(phase: Phase, at_s: number, ask: Ask, text: string): void {
    this.spans.push({ phase: this.phase, from_s: this.since_s, to_s: at_s });
    this.phase = phase;
    this.since_s = at_s;
    this.ask = ask;
    this.turn(at_s, phase, `${text} ${ask.say}`, "turn");
  }

  /** Changes what the crew is asked; the same request again changes nothing. */
  say(ask: Ask, at_s: number): void {
    if (ask.say === this.ask.say) return;
    this.ask = ask;
    this.turn(at_s, "ask", ask.say, "ask");
  }

  turn(at_s: number, code: string, text: string, bell: Bell | null): void {
    this.turns.push({ at_s, code, text, bell });
  }
}

/** Sees whether the water is still being poured: the level against the lowest of the last half minute. */
export class RiseWatch {
  readonly #recent: { at_s: number; head_Pa: number }[] = [];
  readonly #least_Pa: number;
  /** When the level was last seen rising. */
  rising_s = 0;

  constructor(least_Pa: number) {
    this.#least_Pa = least_Pa;
  }

  level(at_s: number, head_Pa: number): void {
    const recent = this.#recent;
    recent.push({ at_s, head_Pa });
    while ((recent[0]?.at_s ?? at_s) < at_s - 30) recent.shift();
    const lowest = recent.reduce((least, level) => Math.min(least, level.head_Pa), head_Pa);
    if (head_Pa - lowest > this.#least_Pa) this.rising_s = at_s;
  }
}
