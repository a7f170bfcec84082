import { STEP_MS } from "./clockFacts.ts";

/** What an entry says of its place and of the time of day it was sealed at. */
export interface SealedAt {
  chain: string;
  number: number;
  sealed_wall_ms: number;
}

/** `number` was sealed at an earlier time of day than the entry before it: the clock was set back between them. Order is by number; a note, no fault. */
export interface ClockSetBack {
  kind: "clock-set-back";
  chain: string;
  number: number;
  before: number;
  by_s: number;
}

/** Entries of several chains may lie mixed and in any order; where some are not here, the next one before counts. */
export function clocksSetBack(entries: readonly SealedAt[]): ClockSetBack[] {
  const last = new Map<string, SealedAt>();
  const found: ClockSetBack[] = [];
  for (const entry of [...entries].sort((a, b) => a.number - b.number)) {
    const { chain, number, sealed_wall_ms } = entry;
    const before = last.get(chain);
    last.set(chain, entry);
    if (before === undefined || before.number === number) continue;
    const back_ms = before.sealed_wall_ms - sealed_wall_ms;
    if (back_ms >= STEP_MS) found.push({ kind: "clock-set-back", chain, number, before: before.number, by_s: back_ms / 1000 });
  }
  return found;
}
