import type { Clock } from "../core/link.ts";

interface Due {
  due_ms: number;
  order: number;
  action: () => void;
}

/**
 * A clock that moves only when told to: the simulated pipe's own time, and virtual time in tests.
 * Actions run in order of due time, ties in the order they were asked for; while one runs, `now_ms` is its due time.
 */
export class QueueClock implements Clock {
  #now_ms = 0;
  #wallOffset_ms: number;
  #order = 0;
  readonly #queue: Due[] = [];

  constructor(wallStart_ms = 1_767_225_600_000) {
    this.#wallOffset_ms = wallStart_ms;
  }

  now_ms(): number {
    return this.#now_ms;
  }

  wall_ms(): number {
    return this.#wallOffset_ms + this.#now_ms;
  }

  /** Sets the wall clock forward or back, as a time service would; monotonic time does not move. */
  stepWall(by_ms: number): void {
    this.#wallOffset_ms += by_ms;
  }

  at(due_ms: number, action: () => void): () => void {
    const due: Due = {
      due_ms: Math.max(due_ms, this.#now_ms),
      order: this.#order++,
      action,
    };
    // The queue holds a handful of timers at most, so a linear search is the simple and quick way.
    const place = this.#queue.findIndex((other) => other.due_ms > due.due_ms);
    if (place < 0) this.#queue.push(due);
    else this.#queue.splice(place, 0, due);
    return () => {
      const index = this.#queue.indexOf(due);
      if (index >= 0) this.#queue.splice(index, 1);
    };
  }

  /** Due time of the next action; `null` when nothing is waiting. */
  nextDue_ms(): number | null {
    return this.#queue[0]?.due_ms ?? null;
  }

  /** Runs the next action and moves to its time; false when nothing is waiting. */
  runNext(): boolean {
    const due = this.#queue.shift();
    if (due === undefined) return false;
    this.#now_ms = Math.max(this.#now_ms, due.due_ms);
    due.action();
    return true;
  }

  /** Runs everything due up to and including `until_ms`, then stands at `until_ms`. */
  runUntil(until_ms: number): void {
    for (let due = this.nextDue_ms(); due !== null && due <= until_ms; due = this.nextDue_ms()) this.runNext();
    this.#now_ms = Math.max(this.#now_ms, until_ms);
  }
}
