import type { SealedEntry } from "../evidence/chain.ts";
import { type BlockRow, SEAL_ROWS, type SealRow } from "./entryRow.ts";
import type { Archive } from "./open.ts";
import { knowsSeals } from "./sealedJournal.ts";
import { ENTRY_KINDS, type EntryKind, headOf, type SealedHead } from "./sealHead.ts";
import { guarded } from "./trouble.ts";

/** One sealed entry with all its bytes. Nothing of it is believed yet. */
export interface FoundEntry {
  /** Number inside this archive. */
  entry: number;
  kind: EntryKind;
  /** Id of the record it is about. */
  subject: string;
  sealed: SealedEntry;
  /** `null` when the head is none of ours. */
  head: SealedHead | null;
  /** Copies beside the head that differ from it; in words. */
  copies: string[];
}

/**
 * Every sealed entry in turn, or those about one record, in the order of their chains; blocks of one at a time are in memory. With `bodies` false
 * the bytes of the blocks are left where they are, and only their hashes come along.
 */
export function* sealedEntries(archive: Archive, subject: string | null = null, bodies = true): Generator<FoundEntry> {
  if (!knowsSeals(archive)) return;
  const { db, path } = archive;
  const order = "order by s.chain, s.number, s.entry";
  const numbers = guarded(path, () =>
    subject === null
      ? db.prepare<[], number>(`select s.entry from seals s ${order}`).pluck().all()
      : db.prepare<[string], number>(`select s.entry from seals s where s.subject = ? ${order}`).pluck().all(subject),
  );
  const row = db.prepare<[number], SealRow>(`${SEAL_ROWS} where s.entry = ?`);
  const blocks = db.prepare<[number], BlockRow>(
    `select place, ${bodies ? "bytes" : "x'' as bytes"}, hash from blocks where entry = ? order by place`,
  );
  for (const number of numbers) {
    const found = guarded(path, () => row.get(number));
    if (found !== undefined)
      yield entryFrom(
        found,
        guarded(path, () => blocks.all(number)),
      );
  }
}

function entryFrom(row: SealRow, blocks: readonly BlockRow[]): FoundEntry {
  const head = headOf(row.head);
  const { entry, previous, seal, signature } = row;
  return {
    entry,
    kind: ENTRY_KINDS.find((kind) => kind === (head?.kind ?? row.kind)) ?? "record",
    subject: head?.subject ?? row.subject,
    head,
    copies: head === null ? ["what was sealed is nothing that can be read"] : copiesOf(row, head, blocks),
    sealed: {
      chain: head?.chain ?? row.chain,
      number: head?.number ?? row.number,
      attempt: head?.attempt ?? null,
      previous,
      seal,
      signature,
      head: row.head,
      publicDer: row.public,
      blocks: blocks.map(({ bytes, hash }) => ({ bytes, hash })),
    },
  };
}

const COPIED = [
  ["chain", "the chain it stands in"],
  ["number", "its number in the chain"],
  ["kind", "what kind of entry it is"],
  ["subject", "the record it is about"],
  ["attempt", "the number of its attempt"],
  ["sealed_wall_ms", "the time it was sealed"],
] as const;

function copiesOf(row: SealRow, head: SealedHead, blocks: readonly BlockRow[]): string[] {
  const found = COPIED.flatMap(([name, said]) => (row[name] === head[name] ? [] : [`${said}, as kept for lists, is not what was sealed`]));
  if (blocks.length !== head.blocks.length) found.push(`${blocks.length} blocks are here, ${head.blocks.length} were sealed`);
  if (blocks.some(({ place }, at) => place !== at)) found.push("the places of the blocks are not those of a whole journal");
  return found;
}
