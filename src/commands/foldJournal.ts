import type { JournalEvent } from "../core/journal.ts";
import type { RecordStart, Verdict } from "../core/record.ts";
import { fold, startFold } from "../session/fold.ts";
import { driverOfStart } from "./testBeside.ts";

/** Judges a whole journal that ends in an `end` event: what closes a record that was broken off. */
export function foldJournal(start: RecordStart, journal: readonly JournalEvent[]): Verdict {
  const folding = startFold(driverOfStart(start), start);
  for (const event of journal) fold(folding, event);
  const last = journal.at(-1);
  return folding.judge.verdict ?? folding.judge.end("interrupted", "the journal has no end", last?.at_ms ?? 0);
}
