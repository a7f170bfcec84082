import type { Level } from "./levels.ts";

/** Readings of one second together, so that the phases see one level a second however fast the gauge speaks. */
export class SecondMean {
  #from_s: number | null = null;
  #sum_Pa = 0;
  #n = 0;

  push(at_s: number, head_Pa: number): void {
    this.#from_s ??= at_s;
    this.#sum_Pa += head_Pa;
    this.#n++;
  }

  /** The second's level once it is over by `now_s`; then it begins anew. */
  take(now_s: number): Level | null {
    if (this.#from_s === null || now_s < this.#from_s + 1) return null;
    const level = { at_s: this.#from_s, head_Pa: this.#sum_Pa / this.#n };
    this.#from_s = null;
    this.#sum_Pa = 0;
    this.#n = 0;
    return level;
  }
}
