import type { Database } from "better-sqlite3";
import { type BlockRow, type EntryRow, entryWriter, SEAL_ROWS, type SealRow } from "./entryRow.ts";
import { type JournalRow, rowInserter } from "./journal.ts";
import { LISTED_ROWS, type ListedRow, listedWriter } from "./listedRow.ts";
import type { Archive } from "./open.ts";
import { knowsSeals } from "./sealedJournal.ts";

/** All that an archive has of one record. */
export interface SubjectRows {
  id: string;
  /** `null`: only entries about it are here. */
  listed: ListedRow | null;
  journal: JournalRow[];
  entries: EntryRow[];
}

/** Reads what an archive has of a record, byte for byte and without believing any of it. */
export function subjectReader(archive: Archive): (id: string) => SubjectRows {
  const { db } = archive;
  const listedRow = db.prepare<[string], ListedRow>(`${LISTED_ROWS} where r.id = ?`);
  const journal = db.prepare<[number], JournalRow>("select seq, at_ms, wall_ms, kind, body from journal where record = ? order by seq");
  const sealed = knowsSeals(archive)
    ? {
        entries: db.prepare<[string], SealRow>(`${SEAL_ROWS} where s.subject = ? order by s.entry`),
        blocks: db.prepare<[number], BlockRow>("select place, bytes, hash from blocks where entry = ? order by place"),
      }
    : null;
  return (id) => {
    const listed = listedRow.get(id) ?? null;
    const entries = sealed?.entries.all(id).map((row) => ({ ...row, blocks: sealed.blocks.all(row.entry) })) ?? [];
    return { id, listed, journal: listed === null ? [] : journal.all(listed.number), entries };
  };
}

/** Puts rows into an archive as they are; numbers of rows are allotted anew. To be used inside a transaction. */
export interface SubjectWriter {
  /** Number of the record here. */
  listed(row: Omit<ListedRow, "number">): number;
  journal(record: number, rows: readonly JournalRow[]): void;
  entry(row: EntryRow): void;
  /** Marks a record that was taken although it is not what was sealed, or not whole. `archive`: id of the one it came from. */
  mark(record: number, altered: { archive: string; taken_wall_ms: number; what: string }): void;
}

export function subjectWriter(db: Database): SubjectWriter {
  const list = listedWriter(db);
  const entry = entryWriter(db);
  const row = rowInserter(db);
  const mark = db.prepare("insert into taken_altered (record, archive, taken_wall_ms, what) values (?, ?, ?, ?)");
  return {
    listed(row) {
      const number = list.start(row);
      list.end(number, row);
      return number;
    },
    journal(record, rows) {
      for (const one of rows) row(record, one);
    },
    entry(row) {
      entry(row);
    },
    mark(record, { archive, taken_wall_ms, what }) {
      mark.run(record, archive, taken_wall_ms, what);
    },
  };
}
