import type { GaugeHealth } from "./view.ts";

/** How the gauge and its line are doing. */
export class Health {
  #up = false;
  #outages = 0;
  #unusedBytes = 0;
  #readings = 0;
  #identity: string | null = null;
  #last_s: number | null = null;
  #interval_s: number | null = null;

  reading(at_s: number): void {
    if (this.#last_s !== null && at_s > this.#last_s) {
      const interval = at_s - this.#last_s;
      this.#interval_s = this.#interval_s === null ? interval : this.#interval_s + 0.1 * (interval - this.#interval_s);
    }
    this.#last_s = at_s;
    this.#readings++;
  }

  link(up: boolean): void {
    if (this.#up && !up) this.#outages++;
    this.#up = up;
  }

  unused(bytes: number): void {
    this.#unusedBytes += bytes;
  }

  named(identity: string): void {
    this.#identity = identity;
  }

  get identity(): string | null {
    return this.#identity;
  }

  get outages(): number {
    return this.#outages;
  }

  view(now_s: number): GaugeHealth {
    return {
      up: this.#up,
      readings: this.#readings,
      rate_Hz: this.#interval_s === null ? null : 1 / this.#interval_s,
      silent_s: this.#last_s === null ? null : Math.max(0, now_s - this.#last_s),
      outages: this.#outages,
      unusedBytes: this.#unusedBytes,
      identity: this.#identity,
    };
  }
}
