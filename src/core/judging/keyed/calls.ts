/** A reading is called for each minute, in a long hold at a tenth of it, in whole minutes. */
const MOST_CALLS = 10;
/** No call so shortly before the end, s. */
const NOT_BEFORE_END_s = 20;

/** When readings are called for in a hold, seconds from its start; the last is its end. */
export function callsOf(hold_s: number): number[] {
  const every_s = 60 * Math.max(1, Math.ceil(hold_s / 60 / MOST_CALLS));
  const calls: number[] = [];
  for (let at_s = every_s; at_s <= hold_s - NOT_BEFORE_END_s; at_s += every_s) calls.push(at_s);
  return [...calls, hold_s];
}

/** An answer may come this much before its call, s: a crew watches the clock too. Never so at the end. */
const EARLY_s = 5;
/** An answer later than this is noted, s. */
export const LATE_s = 5;

export interface Answer {
  /** Seconds from the start of the hold. */
  call_s: number;
  /** When it came, s from the start of the hold; `null`: never. */
  at_s: number | null;
}

/** The calls of one hold and what came of each. */
export class Calls {
  readonly answers: Answer[] = [];
  readonly #due: number[];
  #pending_s: number | null = null;

  constructor(hold_s: number) {
    this.#due = callsOf(hold_s);
  }

  /** The call that has just become due, told once; one still unanswered is then given up. */
  due(elapsed_s: number): number | null {
    const [next] = this.#due;
    if (next === undefined || elapsed_s < next) return null;
    this.#due.shift();
    this.giveUp();
    this.#pending_s = next;
    return next;
  }

  /** A reading came; says how late it is for its call, `null` when it answers none. */
  answered(elapsed_s: number): number | null {
    const [next] = this.#due;
    const early = this.#pending_s === null && this.#due.length > 1 && next !== undefined && elapsed_s >= next - EARLY_s;
    const call_s = early ? this.#due.shift() : this.#pending_s;
    if (call_s == null) return null;
    this.#pending_s = null;
    this.answers.push({ call_s, at_s: elapsed_s });
    return elapsed_s - call_s;
  }

  /** The call that waits now will not be answered any more. */
  giveUp(): void {
    if (this.#pending_s !== null) this.answers.push({ call_s: this.#pending_s, at_s: null });
    this.#pending_s = null;
  }

  get waiting(): boolean {
    return this.#pending_s !== null;
  }

  /** When the next reading will be called for, s from the start; `null` after the last. */
  get next_s(): number | null {
    return this.#due[0] ?? null;
  }
}
