import type { Database } from "better-sqlite3";

/** A row of `seals` as it lies in an archive, with the key's own bytes (DER) in place of the key's number. */
export interface SealRow {
  entry: number;
  chain: string;
  number: number;
  kind: string;
  /** Id of the record it is about. */
  subject: string;
  attempt: number | null;
  sealed_wall_ms: number;
  previous: Uint8Array;
  head: Uint8Array;
  seal: Uint8Array;
  signature: Uint8Array;
  public: Uint8Array;
}

/** One block of a sealed journal, `place` from 0. */
export interface BlockRow {
  place: number;
  bytes: Uint8Array;
  hash: Uint8Array;
}

/** A sealed entry with its blocks. */
export interface EntryRow extends SealRow {
  blocks: BlockRow[];
}

/** Asks for `SealRow`s. An entry whose key is gone is still one; its key is empty then. */
export const SEAL_ROWS = `select s.entry, s.chain, s.number, s.kind, s.subject, s.attempt, s.sealed_wall_ms, s.previous, s.head, s.seal,
    s.signature, coalesce(k.public, x'') as public
  from seals s left join keys k on k.number = s.key`;

/** Byte for byte; what is missing is like nothing. */
export const sameBytes = (a: Uint8Array | null, b: Uint8Array | null): boolean => a !== null && b !== null && Buffer.compare(a, b) === 0;

/** Puts an entry with its blocks into an archive as it is; the number it got there comes back. To be used inside a transaction. */
export function entryWriter(db: Database): (row: Omit<EntryRow, "entry">) => number {
  const key = db.prepare("insert into keys (public) values (?) on conflict (public) do nothing");
  const seal = db.prepare(
    `insert into seals (chain, number, kind, subject, attempt, sealed_wall_ms, previous, head, seal, signature, key)
     values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, (select number from keys where public = ?))`,
  );
  const block = db.prepare("insert into blocks (entry, place, bytes, hash) values (?, ?, ?, ?)");
  return (row) => {
    const { chain, number, kind, subject, attempt, sealed_wall_ms, previous, head, signature } = row;
    key.run(row.public);
    const done = seal.run(chain, number, kind, subject, attempt, sealed_wall_ms, previous, head, row.seal, signature, row.public);
    for (const { place, bytes, hash } of row.blocks) block.run(done.lastInsertRowid, place, bytes, hash);
    return Number(done.lastInsertRowid);
  };
}
