import type { Database } from "better-sqlite3";
import type { RecordEnd, RecordStart } from "../core/record.ts";

/** A record as its rows lie in an archive, for lists and searches; `null` from `ended_wall_ms` on: it has no end. */
export interface ListedRow {
  number: number;
  id: string;
  started_wall_ms: number;
  source: string;
  section: string;
  stage: string;
  method: string;
  /** JSON of the start. */
  start: string;
  ended_wall_ms: number | null;
  word: string | null;
  /** JSON of the verdict. */
  verdict: string | null;
}

/** Asks for `ListedRow`s. */
export const LISTED_ROWS = `select r.number, r.id, r.started_wall_ms, r.source, r.section, r.stage, r.method, r.start, e.ended_wall_ms, e.word, e.verdict
  from records r left join ends e on e.record = r.number`;

/** What of a start stands in columns of its own. */
export const columnsOf = ({ started_wall_ms, source, section, stage, limits }: RecordStart) => ({
  started_wall_ms,
  source,
  section: section.id,
  stage,
  method: limits.method.id,
});

/** What the row of a record holds: all of it stands in the start and the verdict. RangeError for a stranger's that is nested too deep to be written. */
export function listedRow(start: RecordStart, end: RecordEnd | null): Omit<ListedRow, "number"> {
  const known = { id: start.id, ...columnsOf(start), start: JSON.stringify(start) };
  if (end === null) return { ...known, ended_wall_ms: null, word: null, verdict: null };
  return { ...known, ended_wall_ms: end.ended_wall_ms, word: end.verdict.verdict, verdict: JSON.stringify(end.verdict) };
}

/** Puts rows into the list of records as they are. To be used inside a transaction. */
export interface ListedWriter {
  /** Without an end; the number it got comes back. */
  start(row: Omit<ListedRow, "number">): number;
  /** The end of the record of this number, if the row has one. */
  end(record: number, row: Pick<ListedRow, "ended_wall_ms" | "word" | "verdict">): void;
}

/** Prepared once, for many rows of one archive. */
export function listedWriter(db: Database): ListedWriter {
  const start = db.prepare("insert into records (id, started_wall_ms, source, section, stage, method, start) values (?, ?, ?, ?, ?, ?, ?)");
  const end = db.prepare("insert into ends (record, ended_wall_ms, word, verdict) values (?, ?, ?, ?)");
  return {
    start: (row) =>
      Number(start.run(row.id, row.started_wall_ms, row.source, row.section, row.stage, row.method, row.start).lastInsertRowid),
    end(record, { ended_wall_ms, word, verdict }) {
      if (ended_wall_ms !== null) end.run(record, ended_wall_ms, word, verdict);
    },
  };
}
