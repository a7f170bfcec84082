import { join } from "node:path";
import Database from "better-sqlite3";
import { openForeign } from "../../src/storage/foreign.ts";
import { handOver } from "../../src/storage/handover.ts";
import { type Merged, merge } from "../../src/storage/merge.ts";
import type { Taking } from "../../src/storage/mergeTake.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { listRecords } from "../../src/storage/records.ts";
import { temporaryFolder } from "./archives.ts";
import { type SealedBench, sealedBench, sealedRecord } from "./sealed.ts";

/** An empty archive, as an office begins with. */
export const office = (): Archive => openArchive(join(temporaryFolder(), "office.staunch"), { mode: "write" });

/** Takes a file in as the command does. */
export function take(into: Archive, file: string, over: Partial<Taking> = {}): Merged {
  const from = openForeign(file, into.path);
  try {
    return merge(into, from, { takeAltered: false, wall_ms: 0, ...over });
  } finally {
    from.close();
  }
}

/** Changes a closed archive behind the program's back. */
export function bend(path: string, sql: string): void {
  const db = new Database(path);
  db.pragma("foreign_keys = off");
  db.unsafeMode(true);
  db.exec(sql);
  db.close();
}

/** Everything sealed, and what lists read, in an order of its own: two archives with the same hold the same records. */
export function contents({ db }: Archive): unknown {
  const all = (sql: string): unknown[] => db.prepare(sql).raw().all();
  return {
    records: all(
      "select r.id, r.started_wall_ms, r.source, r.section, r.stage, r.method, r.start, e.* from records r left join ends e on e.record = r.number order by r.id",
    ).map((row) => (Array.isArray(row) ? row.filter((_, at) => at !== 7) : row)),
    seals: all(
      "select s.chain, s.number, s.kind, s.subject, s.attempt, s.sealed_wall_ms, s.previous, s.head, s.seal, s.signature, k.public from seals s join keys k on k.number = s.key order by s.chain, s.number, s.seal",
    ),
    blocks: all("select s.seal, b.place, b.bytes, b.hash from blocks b join seals s using (entry) order by 1, 2"),
    journal: all(
      "select r.id, j.seq, j.at_ms, j.wall_ms, j.kind, j.body from journal j join records r on r.number = j.record order by 1, 2",
    ),
  };
}

/** A crew's archive with these sealed records, closed. */
export async function crew(...ids: string[]): Promise<SealedBench & { path: string }> {
  const b = sealedBench();
  for (const id of ids) await sealedRecord(b, id);
  b.archive.close();
  return { ...b, path: b.archive.path };
}

export function reopened<T>(path: string, action: (archive: Archive) => T): T {
  const archive = openArchive(path, { mode: "write" });
  try {
    return action(archive);
  } finally {
    archive.close();
  }
}

export const ids = (archive: Archive): string[] =>
  listRecords(archive)
    .map(({ id }) => id)
    .sort();
export const given = (path: string, wanted: readonly string[]): string => {
  const out = join(temporaryFolder(), "given.staunch");
  reopened(path, (archive) => handOver(archive, wanted, out, false));
  return out;
};
