import { usageError } from "../core/errors.ts";
import type { RecordSource } from "../core/link.ts";
import type { StoredRecord, VerdictWord } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { lastRecord } from "./lastRecord.ts";
import type { Archive } from "./open.ts";
import { startOf, verdictOf } from "./recordRows.ts";
import { damagedError, guarded } from "./trouble.ts";

/** One line of a list, read from columns only. `verdict` is `null` while a test runs and after a crash. */
export interface RecordLine {
  number: number;
  id: string;
  started_wall_ms: number;
  ended_wall_ms: number | null;
  section: string;
  stage: string;
  method: string;
  source: RecordSource;
  verdict: VerdictWord | null;
}

/** Every given field must hold; texts are compared exactly. */
export interface RecordFilter {
  section?: string;
  stage?: string;
  method?: string;
  verdict?: VerdictWord | "open";
  source?: RecordSource;
  /** Started at this wall time or later, ms. */
  since_wall_ms?: number;
  /** Started before this wall time, ms. */
  until_wall_ms?: number;
  /** Newest so many. */
  limit?: number;
}

export interface FoundRecord extends StoredRecord {
  /** Number inside this archive; what `readJournal` takes. */
  number: number;
}

const LINE = `select r.number, r.id, r.started_wall_ms, e.ended_wall_ms, r.section, r.stage, r.method, r.source, e.word as verdict
  from records r left join ends e on e.record = r.number`;

/** Newest first. */
export function listRecords(archive: Archive, filter: RecordFilter = {}): RecordLine[] {
  const conditions: string[] = [];
  const values: (string | number)[] = [];
  const wants = (condition: string, value: string | number | undefined): void => {
    if (value === undefined) return;
    conditions.push(condition);
    values.push(value);
  };
  wants("r.section = ?", filter.section);
  wants("r.stage = ?", filter.stage);
  wants("r.method = ?", filter.method);
  wants("r.source = ?", filter.source);
  wants("r.started_wall_ms >= ?", filter.since_wall_ms);
  wants("r.started_wall_ms < ?", filter.until_wall_ms);
  if (filter.verdict === "open") conditions.push("e.word is null");
  else wants("e.word = ?", filter.verdict);
  const where = conditions.length === 0 ? "" : `where ${conditions.join(" and ")}`;
  const sql = `${LINE} ${where} order by r.started_wall_ms desc, r.number desc limit ?`;
  return guarded(archive.path, () => archive.db.prepare<(string | number)[], RecordLine>(sql).all(...values, filter.limit ?? -1));
}

/** The water tests that say they override this record, oldest first. */
export function overridersOf(archive: Archive, id: string): RecordLine[] {
  const sql = `${LINE} where json_valid(r.start) and json_extract(r.start, '$.overrides') = ? order by r.started_wall_ms, r.number`;
  return guarded(archive.path, () => archive.db.prepare<string, RecordLine>(sql).all(id));
}

/** The record with this id, with an id that begins or ends so and no other does, or `last`: the one started last. */
export const findRecord = (archive: Archive, wanted: string): FoundRecord => readRecord(archive, findId(archive, wanted));

/** As `findRecord`, of a record that need not be readable. */
export function findId(archive: Archive, wanted: string): string {
  const ids = guarded(archive.path, () => candidates(archive, wanted));
  const [id] = ids;
  if (id === undefined) throw unknownRecord(archive, wanted);
  if (ids.length > 1)
    throw usageError(
      "record-ambiguous",
      `"${plainText(wanted)}" fits more than one record: ${ids
        .slice(0, 5)
        .map((one) => plainText(one, 40))
        .join(", ")}${ids.length > 5 ? ", …" : ""}.`,
      "Give more of the id.",
    );
  return id;
}

function candidates(archive: Archive, wanted: string): string[] {
  const { db } = archive;
  const ask = (rest: string, ...values: (string | number)[]): string[] =>
    db
      .prepare<(string | number)[], string>(`select id from records ${rest}`)
      .pluck()
      .all(...values);
  if (wanted === "last") {
    const id = lastRecord(archive);
    return id === undefined ? [] : [id];
  }
  const exact = ask("where id = ?", wanted);
  if (exact.length > 0 || wanted === "") return exact;
  return ask("where ? in (substr(id, 1, ?), substr(id, -?)) order by id limit 6", wanted, wanted.length, wanted.length);
}

function unknownRecord(archive: Archive, wanted: string): Error {
  const newest = listRecords(archive, { limit: 500 }).map((line) => line.id);
  if (newest.length === 0)
    return usageError("record-unknown", `There is no record yet in ${archive.path}.`, "Run a test first (`staunch test --help`).");
  // Ids are time-ordered, so those that begin alike were made at nearly the same time.
  const near = newest
    .map((id) => ({ id, shared: sharedBeginning(id, wanted) }))
    .sort((a, b) => b.shared - a.shared)
    .slice(0, 3)
    .map(({ id }) => plainText(id, 40));
  return usageError(
    "record-unknown",
    `There is no record "${plainText(wanted)}" in ${archive.path}.`,
    `Nearest: ${near.join(", ")}. \`staunch records list\` shows all; \`last\` is the newest.`,
  );
}

function sharedBeginning(a: string, b: string): number {
  let shared = 0;
  while (shared < a.length && a[shared] === b[shared]) shared++;
  return shared;
}

interface StoredRow {
  number: number;
  start: string;
  ended_wall_ms: number | null;
  verdict: string | null;
}

function readRecord(archive: Archive, id: string): FoundRecord {
  const row = guarded(archive.path, () =>
    archive.db
      .prepare<[string], StoredRow>(
        "select r.number, r.start, e.ended_wall_ms, e.verdict from records r left join ends e on e.record = r.number where r.id = ?",
      )
      .get(id),
  );
  const start = row === undefined ? null : startOf(row.start, id);
  if (row === undefined || start === null) throw damagedError(archive.path, new Error(`start of record ${id}`));
  if (row.ended_wall_ms === null) return { number: row.number, start, end: null };
  const verdict = verdictOf(row.verdict);
  if (verdict === null) throw damagedError(archive.path, new Error(`verdict of record ${id}`));
  return {
    number: row.number,
    start,
    end: { ended_wall_ms: row.ended_wall_ms, verdict },
  };
}
