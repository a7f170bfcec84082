import type { JournalEvent } from "../core/journal.ts";
import type { RecordStart, Verdict } from "../core/record.ts";
import { appender, readJournal } from "./journal.ts";
import type { Archive } from "./open.ts";
import { insertEnd } from "./recordRows.ts";
import { findRecord, listRecords } from "./records.ts";
import { type Sealing, sealRecord } from "./sealRecord.ts";
import { archiveError, guarded } from "./trouble.ts";

/** Judges a whole journal; the session's fold. */
export type Finish = (start: RecordStart, journal: JournalEvent[]) => Verdict;

export interface ClosedRecords {
  /** Ids of the records that were closed now. */
  closed: string[];
  /** Those that could not be closed; they stay open and stop nobody from testing. */
  failed: { id: string; error: unknown }[];
}

/**
 * Closes every record without an end: with the archive's lock in our hands nobody is writing it, so its test was cut off.
 * Each is sealed like one that ended by itself, when there is something to seal with. An `end` event follows the last one, with its stamps; the wall time at which the loss was found stands in the detail.
 */
export function closeInterrupted(archive: Archive, nowWall_ms: number, finish: Finish, sealing: Sealing | null = null): ClosedRecords {
  // A record of this very process, given up: what its writer still holds belongs before its end.
  archive.settle();
  const done: ClosedRecords = { closed: [], failed: [] };
  for (const { id } of listRecords(archive, { verdict: "open" }).reverse()) {
    try {
      guarded(archive.path, () => archive.db.transaction(() => closeOne(archive, id, nowWall_ms, finish, sealing)).immediate());
      done.closed.push(id);
    } catch (error) {
      done.failed.push({ id, error: archiveError(error, archive.path) });
    }
  }
  return done;
}

function closeOne(archive: Archive, id: string, nowWall_ms: number, finish: Finish, sealing: Sealing | null): void {
  const { number, start } = findRecord(archive, id);
  const journal = readJournal(archive, number);
  const last = journal.at(-1);
  // A test that ended and died before its verdict was committed keeps the end it had.
  if (last?.kind !== "end") {
    const end = interruption(start, last, nowWall_ms);
    appender(archive.db)(number, [end]);
    journal.push(end);
  }
  const verdict = finish(start, journal);
  const end = { ended_wall_ms: journal.at(-1)?.wall_ms ?? start.started_wall_ms, verdict };
  insertEnd(archive.db, number, end);
  if (sealing !== null) sealRecord(archive, number, start, end, sealing, nowWall_ms);
}

const interruption = (start: RecordStart, last: JournalEvent | undefined, nowWall_ms: number): JournalEvent => ({
  seq: last === undefined ? 0 : last.seq + 1,
  at_ms: last?.at_ms ?? 0,
  wall_ms: last?.wall_ms ?? start.started_wall_ms,
  kind: "end",
  cause: "interrupted",
  detail: `The program stopped without an end; found at ${new Date(nowWall_ms).toISOString()}.`,
});
