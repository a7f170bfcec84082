import { litres } from "./litres.ts";
import type { TimedLitres } from "./waterCase.ts";

/** The litres typed in one test, and what is said to each. */
export class EntryBook {
  readonly entries: TimedLitres[] = [];
  readonly #permitted_L: number;
  #overSaid = false;

  constructor(permitted_L: number) {
    this.#permitted_L = permitted_L;
  }

  /** Since the clock began; nothing before. */
  since(from_s: number | null): { entered_L: number; topUps: number } {
    const counted = from_s === null ? [] : this.entries.filter(({ at_s }) => at_s > from_s);
    return { entered_L: counted.reduce((sum, entry) => sum + entry.litres, 0), topUps: counted.filter((entry) => entry.litres > 0).length };
  }

  /** Takes an entry and answers with what is to be said of it. */
  take(kind: "added" | "taken", amount_L: number, at_s: number, from_s: number | null): string {
    this.entries.push({ at_s, litres: kind === "added" ? amount_L : -amount_L });
    const done = `${litres(amount_L)} ${kind === "added" ? "put in" : "taken out"}`;
    if (from_s === null) return `${done} before the clock runs: not counted.`;
    const { entered_L } = this.since(from_s);
    const over = entered_L > this.#permitted_L && !this.#overSaid;
    if (over) this.#overSaid = true;
    return `${done}; ${litres(entered_L)} of ${litres(this.#permitted_L)} so far${over ? ": more than is permitted, it will fail." : "."}`;
  }
}
