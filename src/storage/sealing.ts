import { fingerprintOf, NO_SEAL, sealOf, signSeal } from "../evidence/seal.ts";
import { chainHead } from "./chainHead.ts";
import { entryWriter } from "./entryRow.ts";
import type { Signer } from "./key.ts";
import type { Archive } from "./open.ts";
import type { PackedBlock } from "./pack.ts";
import { type EntryKind, HEAD_SCHEMA, type SealedHead } from "./sealHead.ts";

export interface NewEntry {
  kind: EntryKind;
  /** Id of the record it is about. */
  subject: string;
  attempt: number | null;
  sealed_wall_ms: number;
  /** What its kind has to say; JSON. */
  fields: Readonly<Record<string, unknown>>;
  blocks: readonly PackedBlock[];
}

/** Where an entry came to stand. */
export interface Sealed {
  entry: number;
  number: number;
  seal: Uint8Array;
}

/** Puts an entry at the end of this archive's chain and signs it. To be called inside a transaction: place and previous seal are allotted here. */
export function appendEntry(archive: Archive, signer: Signer, entry: NewEntry): Sealed {
  const { db, id: chain } = archive;
  const last = chainHead(archive);
  const number = (last?.number ?? 0) + 1;
  const previous = last === null ? NO_SEAL : new Uint8Array(last.seal);
  const { kind, subject, attempt, sealed_wall_ms, blocks } = entry;
  const key = fingerprintOf(signer.publicDer);
  const claims = blocks.map(({ hash, events, unpacked }) => ({ sha256: Buffer.from(hash).toString("hex"), events, bytes: unpacked }));
  const said: SealedHead = { schema: HEAD_SCHEMA, kind, chain, number, attempt, key, subject, sealed_wall_ms, blocks: claims };
  const head = Buffer.from(JSON.stringify({ ...said, ...entry.fields, ...said }), "utf8");
  const seal = sealOf({ previous, head, blockHashes: blocks.map(({ hash }) => hash) });
  const made = entryWriter(db)({
    ...{ chain, number, kind, subject, attempt, sealed_wall_ms, previous, head, seal },
    signature: signSeal(seal, signer.privateKey),
    public: signer.publicDer,
    blocks: blocks.map(({ bytes, hash }, place) => ({ place, bytes, hash })),
  });
  return { entry: made, number, seal };
}
