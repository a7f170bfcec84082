import type { Bytes } from "./rescueBytes.ts";

/** The write-ahead log of an SQLite file (sqlite.org/fileformat2.html §4), of which any frame may be broken. */
const LOG_HEADER = 32;
const FRAME_HEADER = 24;
const MAGIC = 0x377f0682;

/** One version of a page in the log. */
export interface LogPage {
  page: number;
  /** Where its bytes begin in the log. */
  offset: number;
  /** False after the last frame that ends a transaction. */
  isCommitted: boolean;
}

export interface LogPages {
  /** Oldest first. */
  pages: LogPage[];
  /** Frames among these that could not be read. */
  spoilt: number;
  /** How many pages the file has by its last whole transaction; `null`: none is told. */
  count: number | null;
}

/** The page size that a log claims; `null` when it is no log. */
export function logPageSize(log: Bytes): number | null {
  if (log.size < LOG_HEADER) return null;
  const head = log.at(0, LOG_HEADER);
  return head.readUInt32BE(0) >>> 1 === MAGIC >>> 1 ? head.readUInt32BE(8) : null;
}

interface Frame {
  /** Page, pages of the file after a transaction or 0, two salts, two checksums. */
  head: Buffer;
  offset: number;
  /** Its checksum goes on from the one that stands before it. */
  fits: boolean;
}

/**
 * Frames carry the salts of the log they belong to, and a checksum that goes on from the frame before. So each can be held against the checksum
 * as it stands in its neighbour, and one that is broken takes no other with it. `inFile`: whole pages of the file itself.
 */
export function logPages(log: Bytes, pageSize: number, inFile: number): LogPages {
  const frames = [...framesIn(log, pageSize)];
  // A file grows by what is written to its log: a page far beyond that is none.
  const lastPage = inFile + 2 * frames.length + 1000;
  const salts = saltsOf(log, frames);
  const isOurs = (frame: Frame | undefined): boolean =>
    frame !== undefined && salts !== null && frame.head.subarray(8, 16).equals(salts) && frame.head.readUInt32BE(0) <= lastPage;
  // With a neighbour that is gone there is nothing to hold it against but the salts.
  const good = frames.map((frame, n) => isOurs(frame) && (frame.fits || !(n === 0 ? isWhole(log) : isOurs(frames[n - 1]))));
  const last = frames.findLastIndex(({ head }, n) => good[n] === true && head.readUInt32BE(4) !== 0);
  return {
    pages: frames.flatMap(({ head, offset }, n) => (good[n] ? [{ page: head.readUInt32BE(0), offset, isCommitted: n <= last }] : [])),
    spoilt: good.slice(0, Math.max(last, good.lastIndexOf(true)) + 1).filter((isGood) => !isGood).length,
    count: frames[last]?.head.readUInt32BE(4) ?? null,
  };
}

function* framesIn(log: Bytes, pageSize: number): Generator<Frame> {
  const step = FRAME_HEADER + pageSize;
  if (log.size < LOG_HEADER) return;
  let before = log.at(LOG_HEADER - 8, 8);
  for (let at = LOG_HEADER; at + step <= log.size; at += step) {
    const frame = log.at(at, step);
    const head = Buffer.from(frame.subarray(0, FRAME_HEADER));
    const stood = before;
    const fits = [false, true].some((isBig) => {
      const sum = checksum(checksum(stood, head.subarray(0, 8), isBig), frame.subarray(FRAME_HEADER), isBig);
      return sum.equals(head.subarray(16, 24));
    });
    yield { head, offset: at + FRAME_HEADER, fits };
    before = head.subarray(16, 24);
  }
}

const isWhole = (log: Bytes): boolean => {
  const head = log.at(0, LOG_HEADER);
  return [false, true].some((isBig) => checksum(Buffer.alloc(8), head.subarray(0, 24), isBig).equals(head.subarray(24, 32)));
};

/** Those of the header, or where it is broken of the first frame that stands on the one before it: older frames lie behind. */
function saltsOf(log: Bytes, frames: readonly Frame[]): Buffer | null {
  if (log.size < LOG_HEADER) return null;
  if (isWhole(log)) return Buffer.from(log.at(16, 8));
  return frames.find(({ fits }) => fits)?.head.subarray(8, 16) ?? null;
}

/** Goes on from `before` over words of four bytes (§4.2). */
function checksum(before: Buffer, bytes: Buffer, isBig: boolean): Buffer {
  let [s0, s1] = [before.readUInt32BE(0), before.readUInt32BE(4)];
  for (let at = 0; at + 8 <= bytes.length; at += 8) {
    s0 = (s0 + (isBig ? bytes.readUInt32BE(at) : bytes.readUInt32LE(at)) + s1) >>> 0;
    s1 = (s1 + (isBig ? bytes.readUInt32BE(at + 4) : bytes.readUInt32LE(at + 4)) + s0) >>> 0;
  }
  const sum = Buffer.alloc(8);
  sum.writeUInt32BE(s0, 0);
  sum.writeUInt32BE(s1, 4);
  return sum;
}
