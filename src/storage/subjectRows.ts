import type { Database } from "better-sqlite3";
import type { Archive } from "./open.ts";
import { knowsSeals } from "./sealedJournal.ts";

/** A record as its rows lie in an archive; `null` from `ended_wall_ms` on: it has no end. */
export interface ListedRow {
  number: number;
  id: string;
  started_wall_ms: number;
  source: string;
  section: string;
  stage: string;
  method: string;
  start: string;
  ended_wall_ms: number | null;
  word: string | null;
  verdict: string | null;
}

/** A row of an open journal. */
export interface OpenRow {
  seq: number;
  at_ms: number;
  wall_ms: number;
  kind: string;
  body: Uint8Array | string | null;
}

interface Block {
  place: number;
  bytes: Uint8Array;
  hash: Uint8Array;
}

/** A sealed entry as it lies, with the key's own bytes in place of the key's number. */
export interface EntryRow {
  entry: number;
  chain: string;
  number: number;
  kind: string;
  subject: string;
  attempt: number | null;
  sealed_wall_ms: number;
  previous: Uint8Array;
  head: Uint8Array;
  seal: Uint8Array;
  signature: Uint8Array;
  public: Uint8Array;
  blocks: Block[];
}

/** All that an archive has of one record. */
export interface SubjectRows {
  id: string;
  /** `null`: only entries about it are here. */
  listed: ListedRow | null;
  journal: OpenRow[];
  entries: EntryRow[];
}

const LISTED = `select r.number, r.id, r.started_wall_ms, r.source, r.section, r.stage, r.method, r.start, e.ended_wall_ms, e.word, e.verdict
  from records r left join ends e on e.record = r.number where r.id = ?`;
const ENTRIES = `select s.entry, s.chain, s.number, s.kind, s.subject, s.attempt, s.sealed_wall_ms, s.previous, s.head, s.seal, s.signature, k.public
  from seals s join keys k on k.number = s.key where s.subject = ? order by s.entry`;

/** Reads what an archive has of a record, byte for byte and without believing any of it. */
export function subjectReader(archive: Archive): (id: string) => SubjectRows {
  const { db } = archive;
  const listedRow = db.prepare<[string], ListedRow>(LISTED);
  const journal = db.prepare<[number], OpenRow>("select seq, at_ms, wall_ms, kind, body from journal where record = ? order by seq");
  const sealed = knowsSeals(archive)
    ? {
        entries: db.prepare<[string], Omit<EntryRow, "blocks">>(ENTRIES),
        blocks: db.prepare<[number], Block>("select place, bytes, hash from blocks where entry = ? order by place"),
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
  listed(row: ListedRow): number;
  journal(record: number, rows: readonly OpenRow[]): void;
  entry(row: EntryRow): void;
}

export function subjectWriter(db: Database): SubjectWriter {
  const start = db.prepare("insert into records (id, started_wall_ms, source, section, stage, method, start) values (?, ?, ?, ?, ?, ?, ?)");
  const end = db.prepare("insert into ends (record, ended_wall_ms, word, verdict) values (?, ?, ?, ?)");
  const event = db.prepare("insert into journal (record, seq, at_ms, wall_ms, kind, body) values (?, ?, ?, ?, ?, ?)");
  const key = db.prepare("insert into keys (public) values (?) on conflict (public) do nothing");
  const seal = db.prepare(
    `insert into seals (chain, number, kind, subject, attempt, sealed_wall_ms, previous, head, seal, signature, key)
     values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, (select number from keys where public = ?))`,
  );
  const block = db.prepare("insert into blocks (entry, place, bytes, hash) values (?, ?, ?, ?)");
  return {
    listed(row) {
      const { id, started_wall_ms, source, section, stage, method } = row;
      const number = Number(start.run(id, started_wall_ms, source, section, stage, method, row.start).lastInsertRowid);
      if (row.ended_wall_ms !== null) end.run(number, row.ended_wall_ms, row.word, row.verdict);
      return number;
    },
    journal(record, rows) {
      for (const { seq, at_ms, wall_ms, kind, body } of rows) event.run(record, seq, at_ms, wall_ms, kind, body);
    },
    entry(row) {
      const { chain, number, kind, subject, attempt, sealed_wall_ms, previous, head, signature } = row;
      key.run(row.public);
      const done = seal.run(chain, number, kind, subject, attempt, sealed_wall_ms, previous, head, row.seal, signature, row.public);
      for (const { place, bytes, hash } of row.blocks) block.run(done.lastInsertRowid, place, bytes, hash);
    },
  };
}
