import type { JournalBody } from "../core/journal.ts";
import type { Clock } from "../core/link.ts";

const SILENCE_MS = 1000;

/**
 * Timers of a session. They decide nothing: each only appends an event, and what follows from it is folded like the rest,
 * so a replay needs no clock.
 */
export class Quiet {
  readonly #clock: Clock;
  readonly #append: (body: JournalBody) => void;
  #cancelWake: () => void = () => undefined;
  #cancelSilence: () => void = () => undefined;
  #wake_ms: number | null = null;
  #heard_ms: number;

  constructor(clock: Clock, append: (body: JournalBody) => void) {
    this.#clock = clock;
    this.#append = append;
    this.#heard_ms = clock.now_ms();
    this.#listen();
  }

  /** A usable reading came. */
  heard(at_ms: number): void {
    this.#heard_ms = at_ms;
  }

  /** Replaces the wish of the driver's step before. */
  wakeAt(due_ms: number | null): void {
    if (due_ms === this.#wake_ms) return;
    this.#cancelWake();
    this.#wake_ms = due_ms;
    if (due_ms === null) return;
    this.#cancelWake = this.#clock.at(due_ms, () => {
      this.#wake_ms = null;
      this.#append({ kind: "wake" });
    });
  }

  close(): void {
    this.#cancelWake();
    this.#cancelSilence();
  }

  #listen(): void {
    this.#cancelSilence = this.#clock.at(this.#clock.now_ms() + SILENCE_MS, () => {
      if (this.#clock.now_ms() - this.#heard_ms >= SILENCE_MS) this.#append({ kind: "silence", since_ms: this.#heard_ms });
      this.#listen();
    });
  }
}
