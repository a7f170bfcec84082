import type { JournalEvent } from "../core/journal.ts";
import type { RecordEnd, RecordStart } from "../core/record.ts";
import { clockFacts } from "../evidence/clockFacts.ts";
import { type KitCheck, kitChecksOfDay } from "./gaugeLogs.ts";
import { readJournal } from "./journal.ts";
import type { MachineKey } from "./key.ts";
import type { Archive } from "./open.ts";
import { packJournal } from "./pack.ts";
import { knowsSeals } from "./sealedJournal.ts";
import { appendEntry } from "./sealing.ts";
import { guarded, sqliteCode } from "./trouble.ts";

/** What a record is sealed with. */
export interface Sealing {
  key: MachineKey;
  /** The longest the program was held up since it started, ms; `null`: not measured. */
  worstDelay_ms?: () => number | null;
  /** Hears in one sentence why a record stays unsealed; it is kept all the same. */
  onUnsealed: (reason: string) => void;
}

/** The number a test got from the key's counter; to be called in the transaction that writes its start. */
export function insertAttempt({ db }: Archive, record: number, key: string, attempt: number): void {
  db.prepare("insert into attempts (record, key, attempt) values (?, ?, ?)").run(record, key, attempt);
}

/** Numbers given to records that are not sealed yet. */
export function pendingAttempts(archive: Archive, key: string): number[] {
  if (!knowsSeals(archive)) return [];
  const ask = archive.db.prepare<[string], number>("select attempt from attempts where key = ?").pluck();
  return guarded(archive.path, () => ask.all(key));
}

/**
 * Seals a record that has its end, packs its journal and deletes the raw rows. To be called inside the transaction of the end. What the disk
 * refuses is thrown and undoes all of it; a journal that cannot be packed leaves the record as it is, unsealed: a test is never lost for a seal.
 */
export function sealRecord(
  archive: Archive,
  record: number,
  start: RecordStart,
  end: RecordEnd,
  sealing: Sealing,
  sealed_wall_ms: number,
): void {
  try {
    archive.db.transaction(() => seal(archive, record, start, end, sealing, sealed_wall_ms))();
  } catch (error) {
    if (sqliteCode(error) !== null) throw error;
    sealing.onUnsealed(`Record ${start.id} is kept, but could not be sealed: ${error instanceof Error ? error.message : String(error)}.`);
  }
}

function seal(archive: Archive, record: number, start: RecordStart, end: RecordEnd, sealing: Sealing, sealed_wall_ms: number): void {
  const { db } = archive;
  const journal = readJournal(archive, record);
  appendEntry(archive, sealing.key, {
    kind: "record",
    subject: start.id,
    attempt: attemptOf(archive, record, sealing.key.fingerprint),
    sealed_wall_ms,
    fields: {
      start,
      end,
      zone: zoneAt(start.started_wall_ms),
      clock: clockOf(journal, sealing),
      kit_checks: kitChecksOf(archive, start),
    },
    blocks: packJournal(journal),
  });
  db.prepare("delete from journal where record = ?").run(record);
  db.prepare("delete from attempts where record = ?").run(record);
}

/** `null` when none was counted, or by another key than the one that seals. */
function attemptOf({ db }: Archive, record: number, key: string): number | null {
  const counted = db.prepare<[number], { key: string; attempt: number }>("select key, attempt from attempts where record = ?").get(record);
  return counted?.key === key ? counted.attempt : null;
}

/** The zone this machine is set to and how far it was from UTC then, minutes, east positive. */
const zoneAt = (wall_ms: number): { name: string; offset_min: number } => ({
  name: Intl.DateTimeFormat().resolvedOptions().timeZone,
  offset_min: offsetAt(wall_ms),
});

const offsetAt = (wall_ms: number): number => -new Date(wall_ms).getTimezoneOffset();

const clockOf = (journal: readonly JournalEvent[], { worstDelay_ms }: Sealing): object => ({
  ...clockFacts(journal),
  worst_loop_delay_ms: worstDelay_ms?.() ?? null,
});

/** Hose and gauge as they were checked on the day of the test. */
function kitChecksOf(archive: Archive, { started_wall_ms, gauge }: RecordStart): KitCheck[] {
  if (gauge.name === undefined) return [];
  const local = new Date(started_wall_ms + offsetAt(started_wall_ms) * 60_000);
  if (Number.isNaN(local.getTime())) return [];
  return kitChecksOfDay(archive, gauge.name, local.toISOString().slice(0, 10));
}
