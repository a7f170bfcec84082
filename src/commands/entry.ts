import type { Subject } from "rxjs";
import { isStaunchError } from "../core/errors.ts";
import { keyedActionFrom } from "../core/judging/keyed/entries.ts";
import type { WaterView } from "../core/judging/view.ts";
import { actionFrom } from "../core/judging/water/entries.ts";
import { displayUnit } from "../core/methods/displayUnit.ts";
import type { Limits } from "../core/methods/limits.ts";
import { plainText } from "../core/text.ts";

/** Turns what is typed in a water test, or in a test of air read by eye, into keys of the session; what cannot be meant is said back, not kept. */
export class Entry {
  /** What a bare figure would mean now. */
  expects: WaterView["expects"] = null;
  readonly #keys: Subject<string>;
  readonly #limits: Limits;
  readonly #unit;

  constructor(limits: Limits, keys: Subject<string>) {
    this.#keys = keys;
    this.#limits = limits;
    this.#unit = displayUnit(limits);
  }

  typed(line: string, complain: (text: string) => void): void {
    const text = line.trim();
    if (text === "") return;
    if (text === "stop" || text === "q") return this.#keys.next("stop");
    try {
      this.#keys.next(this.#action(text));
    } catch (error) {
      if (!isStaunchError(error)) throw error;
      complain(plainText(`staunch: ${error.message} ${error.hint}`, 600));
    }
  }
  #action(text: string): string {
    if (this.#limits.water === undefined) return keyedActionFrom(text, this.#limits);
    return actionFrom(text, { figure: this.expects ?? "litres", unit: this.#unit });
  }
}
