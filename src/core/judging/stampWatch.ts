/** Wall and monotonic clock may part by this much before it counts. */
const PARTED_MS = 2000;
/** A pause in the readings this long hides what happened in it. */
const PAUSE_MS = 2000;

/**
 * Compares the wall clock with the monotonic one. A time service setting the wall clock while readings flow changes
 * nothing; both clocks parting across a pause means the computer slept, and how long the pipe was held is unknown.
 */
export class StampWatch {
  /** Steps of the wall clock while readings flowed, for the record's notes. */
  wallSteps = 0;
  #offset_ms: number | null = null;
  #lastReading_ms: number | null = null;

  event(at_ms: number, wall_ms: number): void {
    this.#offset_ms ??= wall_ms - at_ms;
  }

  /** Seconds by which time is uncertain since the reading before; `null` when it is not. */
  reading(at_ms: number, wall_ms: number): number | null {
    const offset = wall_ms - at_ms;
    const parted = offset - (this.#offset_ms ?? offset);
    const pause = at_ms - (this.#lastReading_ms ?? at_ms);
    this.#offset_ms = offset;
    this.#lastReading_ms = at_ms;
    if (Math.abs(parted) <= PARTED_MS) return null;
    if (pause <= PAUSE_MS) {
      this.wallSteps++;
      return null;
    }
    return parted / 1000;
  }
}
