import type { JournalEvent, Stamp } from "../core/journal.ts";

/** A step of the wall clock against the monotonic one, between an event and the one before it. */
export interface ClockJump {
  seq: number;
  by_ms: number;
}

/** What a journal says of the clocks it was stamped with. */
export interface ClockFacts {
  start: Stamp | null;
  end: Stamp | null;
  /** The first fifty; a clock kept by a time server is moved by less. */
  jumps: ClockJump[];
  jump_count: number;
}

/** Stamps are rounded to a millisecond and clocks are slewed; a second is a step. */
export const STEP_MS = 1000;
const SHOWN = 50;

/** Steps of a second or more, and the first and last stamp; `null` for an empty journal. */
export function clockFacts(journal: readonly JournalEvent[]): ClockFacts {
  const jumps: ClockJump[] = [];
  let count = 0;
  let ahead_ms: number | null = null;
  for (const { seq, at_ms, wall_ms } of journal) {
    const by_ms: number = wall_ms - at_ms - (ahead_ms ?? wall_ms - at_ms);
    ahead_ms = wall_ms - at_ms;
    if (Math.abs(by_ms) < STEP_MS) continue;
    count++;
    if (jumps.length < SHOWN) jumps.push({ seq, by_ms });
  }
  return { start: stampOf(journal.at(0)), end: stampOf(journal.at(-1)), jumps, jump_count: count };
}

const stampOf = (event: JournalEvent | undefined): Stamp | null =>
  event === undefined ? null : { at_ms: event.at_ms, wall_ms: event.wall_ms };
