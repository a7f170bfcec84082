import { Window } from "./window.ts";

/**
 * Means of short stretches: a gauge of a thousand readings a second and one of a single reading a second both leave a window of
 * a minute that is quick to fit a line through. A slow gauge has one reading a stretch, and nothing is lost.
 */
export class Means {
  readonly window: Window;
  readonly #stretch_s: number;
  #index = Number.NaN;
  #count = 0;
  #time_s = 0;
  #value = 0;

  constructor(stretch_s: number, capacity: number) {
    this.#stretch_s = stretch_s;
    this.window = new Window(capacity);
  }

  add(time_s: number, value: number): void {
    const index = Math.floor(time_s / this.#stretch_s);
    if (index !== this.#index) {
      this.#index = index;
      this.#count = 1;
      this.#time_s = time_s;
      this.#value = value;
      this.window.add(time_s, value);
      return;
    }
    this.#count++;
    this.#time_s += (time_s - this.#time_s) / this.#count;
    this.#value += (value - this.#value) / this.#count;
    this.window.replaceLast(this.#time_s, this.#value);
  }

  clear(): void {
    this.window.clear();
    this.#index = Number.NaN;
  }
}
