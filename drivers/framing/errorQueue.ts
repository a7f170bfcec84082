/**
 * When to ask an instrument for its errors, and what it answers. SCPI-1999 volume 2 §21.8 (section number from memory): the oldest first,
 * a number and a text in quotes, `0,"No error"` when there are no more.
 *
 *     READ? ── silence, silence ──┐                     ┌ not 0: again, it may hold more
 *     READ? ── no answer at all ──┴─► SYST:ERR? ── -113,"Undefined header" ── SYST:ERR? ── 0,"No error" ── READ? …
 */
export interface Errors {
  /** There may be something in the queue. */
  due: boolean;
  /** When it was asked last; `null` never. */
  asked_ms: number | null;
  /** Entries read since it was last empty. */
  read: number;
  /** Questions in a row that nobody answered. */
  mute: number;
}

export const noErrors: Errors = { due: false, asked_ms: null, read: 0, mute: 0 };

export const ERROR_QUERY = new TextEncoder().encode("SYST:ERR?\n");

/** Noise on the wire must not take every other question away from the pressure. */
const AGAIN_ms = 5000;
/** An instrument that repeats one error for ever is left alone. */
const LONGEST_QUEUE = 20;
const MUTE = 2;

/** The number of an entry of the queue; `null` when the line is none. A pressure never has a text in quotes beside it. */
export function errorNumber(line: string): number | null {
  const match = /^\s*([+-]?\d{1,5})\s*,\s*"[^"]*"?/.exec(line);
  return match === null ? null : Number(match[1]);
}

/** Before the next question: was the one before it left without an answer? */
export const afterQuestion = (errors: Errors, unanswered: boolean): Errors => {
  const mute = unanswered ? errors.mute + 1 : 0;
  return { ...errors, mute, due: errors.due || (mute > 0 && mute % MUTE === 0) };
};

/** Something came that was no answer. */
export const suspect = (errors: Errors): Errors => ({ ...errors, due: true });

/** A pressure came: whatever stood before it was noise, unless the queue is being read. */
export const trusted = (errors: Errors): Errors => (errors.read === 0 ? { ...errors, due: false, mute: 0 } : errors);

export const asksForErrors = ({ due, asked_ms, read }: Errors, at_ms: number): boolean =>
  due && (read > 0 || asked_ms === null || at_ms - asked_ms >= AGAIN_ms);

/** An entry was read: there may be more behind it, unless it was the last. */
export const afterError = (errors: Errors, number: number): Errors =>
  number === 0 || errors.read >= LONGEST_QUEUE ? { ...errors, due: false, read: 0 } : { ...errors, due: true, read: errors.read + 1 };
