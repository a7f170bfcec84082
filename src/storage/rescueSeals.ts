import { fingerprintOf, hashOf, isSignedBy, sealOf } from "../evidence/seal.ts";
import type { EntryRow } from "./entryRow.ts";
import type { Value } from "./rescueFormat.ts";
import type { Scan, Where } from "./rescueScan.ts";
import { ENTRY_KINDS, headOf, type SealedHead, sealedRecordOf } from "./sealHead.ts";

/** A sealed entry that was found; its bytes are read again when it is taken. */
export interface FoundSeal {
  where: Where;
  /** Number of its row in the damaged archive. */
  entry: number;
  kind: string;
  /** Id of the record it is about. */
  subject: string;
  chain: string;
  number: number;
  /** What is wrong with it; `null`: it is what was sealed, to the last byte. */
  what: string | null;
}

export interface Seals {
  /** In the order they were sealed in. */
  found: FoundSeal[];
  /** Whole as it was sealed, or as it lies; `null`: without its key it cannot be kept at all. */
  load(seal: FoundSeal): EntryRow | null;
}

/**
 * Sealed entries prove themselves: blocks are found by their hashes, the seal is worked out anew and held against its signature, and what stands in
 * columns beside the head is read from the head. `more`: public keys that are known besides those on file.
 */
export function sealsIn(scan: Scan, more: readonly Uint8Array[]): Seals {
  const parts = partsOf(scan, more);
  const best = new Map<string, FoundSeal>();
  for (const where of scan.rows.seals) {
    const row = entryRow(scan.read(where) ?? [], parts);
    if (row === null) continue;
    const { entry, kind, subject, chain, number } = row.entry;
    const key = JSON.stringify([kind, subject, chain, number, row.what === null ? row.seal : null]);
    if (!best.has(key)) best.set(key, { where, entry, kind, subject, chain, number, what: row.what });
  }
  // An altered copy of an entry that is here whole is only what an older page still says.
  const whole = new Set([...best.values()].flatMap((one) => (one.what === null ? [placeOf(one)] : [])));
  const found = [...best.values()].filter((one) => one.what === null || !whole.has(placeOf(one))).sort((a, b) => a.entry - b.entry);
  return { found, load: ({ where }) => loaded(scan, entryRow(scan.read(where) ?? [], parts), parts) };
}

const placeOf = ({ chain, number }: FoundSeal): string => `${chain} ${number}`;
const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString("hex");
const bytesOf = (value: Value | undefined): Uint8Array => (value instanceof Uint8Array ? value : new Uint8Array(0));

interface Parts {
  keys: ReadonlyMap<string, Uint8Array>;
  keyOf(number: number): Uint8Array | undefined;
  /** Blocks by their hash in hexadecimal, and by entry and place. */
  blocks: ReadonlyMap<string, Where>;
}

function partsOf(scan: Scan, more: readonly Uint8Array[]): Parts {
  const onFile = new Map(scan.rows.keys.map((where) => [where.rowid, bytesOf(scan.read(where)?.[1])]));
  const keys = new Map([...onFile.values(), ...more].map((key) => [fingerprintOf(key), key]));
  const blocks = new Map<string, Where>();
  for (const where of scan.rows.blocks) {
    const [entry, place, bytes] = scan.read(where) ?? [];
    if (!(bytes instanceof Uint8Array)) continue;
    for (const name of [hex(hashOf(bytes)), `${entry}/${place}`]) if (!blocks.has(name)) blocks.set(name, where);
  }
  return { keys, keyOf: (number) => onFile.get(number), blocks };
}

interface Built {
  /** Without its blocks. */
  entry: EntryRow;
  head: SealedHead | null;
  seal: string;
  what: string | null;
}

function entryRow(values: readonly Value[], parts: Parts): Built | null {
  const [entry, chain, number, kind, subject, attempt, sealed_wall_ms, ...rest] = values;
  const [previous, bytes, , signature] = rest.map(bytesOf);
  const own = { entry, chain, number, kind, subject, attempt, sealed_wall_ms };
  if (!isOwn(own) || previous === undefined || bytes === undefined || signature === undefined) return null;
  const head = headOf(bytes);
  const key = parts.keys.get(head?.key ?? "") ?? parts.keyOf(Number(rest[4]));
  const seal = head === null ? null : sealOfHead(previous, bytes, head);
  const said = head === null ? own : { ...own, ...copiesOf(head) };
  const row = { ...said, previous, head: bytes, seal: seal ?? bytesOf(rest[2]), signature, public: key ?? new Uint8Array(0), blocks: [] };
  return { entry: row, head, seal: hex(row.seal), what: faultOf(head, seal, row, parts) };
}

type Own = Pick<EntryRow, "entry" | "chain" | "number" | "kind" | "subject" | "attempt" | "sealed_wall_ms">;

const isOwn = (own: Record<keyof Own, Value | undefined>): own is Own =>
  typeof own.entry === "number" &&
  typeof own.chain === "string" &&
  typeof own.subject === "string" &&
  ENTRY_KINDS.some((kind) => kind === own.kind);

const copiesOf = ({ chain, number, kind, subject, attempt, sealed_wall_ms }: SealedHead): Omit<Own, "entry"> => ({
  chain,
  number,
  kind,
  subject,
  attempt,
  sealed_wall_ms,
});

function sealOfHead(previous: Uint8Array, head: Uint8Array, { blocks }: SealedHead): Uint8Array | null {
  const blockHashes = blocks.map(({ sha256 }) => new Uint8Array(Buffer.from(sha256, "hex")));
  const isWhole = [previous, ...blockHashes].every(({ length }) => length === 32);
  return isWhole ? sealOf({ previous, head, blockHashes }) : null;
}

function faultOf(head: SealedHead | null, seal: Uint8Array | null, { signature, ...row }: EntryRow, { blocks }: Parts): string | null {
  if (head === null || seal === null) return "what was sealed makes no sense any more";
  if (row.public.length === 0 || fingerprintOf(row.public) !== head.key) return `the key it was signed with is lost: ${head.key}`;
  if (!isSignedBy(seal, signature, row.public)) return "what was tested, its verdict or its signature is not what was sealed";
  const record = head.kind === "record" ? sealedRecordOf(head) : null;
  if (head.kind === "record" && record?.start.id !== head.subject) return "what was sealed is no record";
  const lost = head.blocks.findIndex(({ sha256 }) => !blocks.has(sha256));
  return lost < 0 ? null : `block ${lost + 1} of its journal is lost or not the one that was sealed`;
}

function loaded(scan: Scan, built: Built | null, { blocks }: Parts): EntryRow | null {
  if (built === null || built.entry.public.length === 0) return null;
  const { entry, head } = built;
  const rows = (head?.blocks ?? []).flatMap(({ sha256 }, place) => {
    const where = blocks.get(sha256) ?? blocks.get(`${entry.entry}/${place}`);
    const bytes = where === undefined ? null : scan.read(where)?.[2];
    return bytes instanceof Uint8Array ? [{ place, bytes, hash: new Uint8Array(Buffer.from(sha256, "hex")) }] : [];
  });
  return { ...entry, blocks: rows };
}
