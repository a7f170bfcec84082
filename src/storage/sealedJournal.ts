import type { JournalEvent } from "../core/journal.ts";
import { versionOf } from "./migrate.ts";
import type { Archive } from "./open.ts";
import { checkClaims, unpackBlock } from "./pack.ts";
import { headOf, type SealedHead } from "./sealHead.ts";
import { damagedError, guarded, sqliteCode } from "./trouble.ts";

/** An archive opened for reading only may be older than seals: then nothing in it is sealed. */
export const knowsSeals = ({ db }: Archive): boolean => versionOf(db) >= 3;

/** The journal of a sealed record; `null` when it is not sealed. `archive-damaged` when a block is not the one that was sealed. */
export function sealedJournal(archive: Archive, record: number): JournalEvent[] | null {
  if (!knowsSeals(archive)) return null;
  const sealed = archive.db
    .prepare<[number], { entry: number; head: Uint8Array }>(
      `select s.entry, s.head from seals s join records r on r.id = s.subject
       where r.number = ? and s.kind = 'record' order by s.entry limit 1`,
    )
    .get(record);
  if (sealed === undefined) return null;
  const head = headOf(sealed.head);
  if (head === null) throw damagedError(archive.path, new Error(`head of sealed record ${record}`));
  return unpackEntry(archive, sealed.entry, head);
}

/** As `sealedJournal`, of an entry whose head was read already. */
export const unpackSealed = (archive: Archive, entry: number, head: SealedHead): JournalEvent[] =>
  guarded(archive.path, () => unpackEntry(archive, entry, head));

/** The events in the blocks of one entry, of which the head tells hashes and sizes. */
function unpackEntry(archive: Archive, entry: number, head: SealedHead): JournalEvent[] {
  const blocks = archive.db.prepare<[number], Uint8Array>("select bytes from blocks where entry = ? order by place").pluck().all(entry);
  try {
    if (blocks.length !== head.blocks.length) throw new RangeError("blocks are missing, or too many");
    checkClaims(head.blocks);
    return blocks.flatMap((bytes, at) => {
      const claim = head.blocks[at];
      return claim === undefined ? [] : unpackBlock(bytes, claim);
    });
  } catch (error) {
    if (sqliteCode(error) !== null) throw error;
    throw damagedError(archive.path, error);
  }
}
