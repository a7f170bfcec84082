import { deflateRawSync, inflateRawSync } from "node:zlib";
import type { JournalEvent } from "../core/journal.ts";
import { journalColumns } from "../evidence/journalColumns.ts";
import { journalRead } from "../evidence/journalRead.ts";
import { hashOf } from "../evidence/seal.ts";

/** A stretch of a journal as it is kept: its columns, deflated (RFC 1951). */
export interface PackedBlock {
  bytes: Uint8Array;
  /** SHA-256 of `bytes`. */
  hash: Uint8Array;
  events: number;
  /** Length of the columns before deflating. */
  unpacked: number;
}

/** What a sealed head says of one block; the hash in hexadecimal. */
export interface BlockClaim {
  sha256: string;
  events: number;
  bytes: number;
}

const MOST_BLOCK_EVENTS = 65_536;
const MOST_BODY_BYTES = 256 * 1024;
/** What one block may unpack to; a gauge that sends more in one piece is none. */
const LARGEST_BLOCK = 4 * 1024 * 1024;
/** And one record: a day at a hundred readings a second is less than half of it. */
const LARGEST_JOURNAL = 512 * 1024 * 1024;
/** More of a stranger's is not gone through as a whole; a day at a hundred readings a second is less. */
const MOST_JOURNAL_EVENTS = 10_000_000;

/** Nine takes ten times as long for a tenth less: the end of a test must not hold the screen up. */
const LEVEL = 6;

/** A journal in blocks. RangeError when it is none that could be read back. */
export function packJournal(events: readonly JournalEvent[]): PackedBlock[] {
  const blocks: PackedBlock[] = [];
  let total = 0;
  for (const [from, to] of stretches(events)) {
    const columns = journalColumns(events.slice(from, to));
    total += columns.length;
    if (columns.length > LARGEST_BLOCK || total > LARGEST_JOURNAL) throw new RangeError("the journal is too large to be sealed");
    const bytes = new Uint8Array(deflateRawSync(columns, { level: LEVEL }));
    blocks.push({ bytes, hash: hashOf(bytes), events: to - from, unpacked: columns.length });
  }
  return blocks;
}

function* stretches(events: readonly JournalEvent[]): Generator<[from: number, to: number]> {
  let from = 0;
  let held = 0;
  for (const [at, event] of events.entries()) {
    held += "bytes" in event ? event.bytes.length : 0;
    if (at + 1 - from < MOST_BLOCK_EVENTS && held < MOST_BODY_BYTES) continue;
    yield [from, at + 1];
    from = at + 1;
    held = 0;
  }
  if (from < events.length) yield [from, events.length];
}

/** RangeError when blocks that claim this much are not worth unpacking: they may be a stranger's. */
export function checkClaims(claims: readonly BlockClaim[]): void {
  const total = claims.reduce((sum, { bytes }) => sum + bytes, 0);
  if (total > LARGEST_JOURNAL || claims.some(({ bytes }) => bytes > LARGEST_BLOCK))
    throw new RangeError("the journal claims to be too large");
}

/** Whether blocks claim more events than are gone through as a whole. */
export const hasTooManyEvents = (claims: readonly BlockClaim[]): boolean =>
  claims.reduce((sum, { events }) => sum + events, 0) > MOST_JOURNAL_EVENTS;

/** The events of one block. RangeError when it is not what was claimed; it is never unpacked any further than that. */
export function unpackBlock(bytes: Uint8Array, claim: BlockClaim): JournalEvent[] {
  if (Buffer.from(hashOf(bytes)).toString("hex") !== claim.sha256) throw new RangeError("a block is not the one that was sealed");
  if (claim.bytes < 1 || claim.bytes > LARGEST_BLOCK) throw new RangeError("a block claims a size it cannot have");
  const columns = inflateRawSync(bytes, { maxOutputLength: claim.bytes });
  const events = journalRead(new Uint8Array(columns));
  if (columns.length !== claim.bytes || events.length !== claim.events) throw new RangeError("a block holds less or more than it claims");
  return events;
}

/** The events of a block whose head is lost, by the hash that lies beside it. What it throws is of many kinds: its bytes may be anybody's. */
export function unpackHeadless(bytes: Uint8Array, hash: Uint8Array): JournalEvent[] {
  if (!Buffer.from(hashOf(bytes)).equals(hash)) throw new RangeError("a block is not what its hash says");
  return journalRead(new Uint8Array(inflateRawSync(bytes, { maxOutputLength: LARGEST_BLOCK })));
}
