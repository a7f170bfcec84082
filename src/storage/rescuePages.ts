import { dataError } from "../core/errors.ts";
import { APPLICATION_ID } from "./migrate.ts";
import type { Bytes } from "./rescueBytes.ts";
import { bTreePage, FILE_HEADER } from "./rescueFormat.ts";
import { logPageSize, logPages } from "./rescueLog.ts";

/** One version of a page. `place` finds it again: where it begins in the file, or below nought in the log. */
export interface Image {
  page: number;
  place: number;
  /** It is the page as the archive last had it, and in use; else only what was left lying about, good to fill gaps with. */
  isCurrent: boolean;
}

/** All the pages of a damaged archive. */
export interface Pages {
  size: number;
  /** Whole pages that are there, of the file and of the log. */
  present: number;
  /** Pages the archive had by its own header or log, when they tell. */
  claimed: number | null;
  /** Version of the archive as its header tells; `null` where the header is broken. */
  version: number | null;
  /** Frames of the log that could not be read. */
  spoiltFrames: number;
  /** Pages known to be out of use. */
  free: ReadonlySet<number>;
  /** Current ones first. */
  images(): Generator<Image>;
  read(place: number): Buffer;
  /** A page as the archive last had it; `null`: it is not there. */
  current(page: number): Buffer | null;
}

const MAGIC = "SQLite format 3\0";
const SIZES = [4096, 1024, 512, 2048, 8192, 16_384, 32_768, 65_536];
const LARGEST_FILE = 16 * 2 ** 30;
/** So many pages tell of which size they are. */
const SAMPLE = 2000;

/** StaunchErrors (65): `archive-too-large`. */
export function pagesOf(path: string, main: Bytes, log: Bytes): Pages {
  if (main.size > LARGEST_FILE || log.size > LARGEST_FILE)
    throw dataError("archive-too-large", `${path} is larger than 16 GiB.`, "No archive is; choose the right file.");
  const size = pageSizeOf(main, log);
  const inFile = Math.floor(main.size / size);
  const logged = logPages(log, size, inFile);
  const newest = new Map(logged.pages.filter(({ isCommitted }) => isCommitted).map(({ page, offset }) => [page, -offset]));
  const placeOf = (page: number): number | null => newest.get(page) ?? (page <= inFile ? (page - 1) * size : null);
  const read = (place: number): Buffer => (place < 0 ? log.at(-place, size) : main.at(place, size));
  const current = (page: number): Buffer | null => {
    const place = page < 1 ? null : placeOf(page);
    return place === null ? null : read(place);
  };
  const header = headerOf(current(1));
  const present = [...newest.keys()].reduce((most, page) => Math.max(most, page), inFile);
  const free = header === null ? new Set<number>() : freePages(header.free, present, size, current);
  return {
    size,
    present,
    claimed: logged.count ?? header?.count ?? null,
    version: header?.version ?? null,
    spoiltFrames: logged.spoilt,
    free,
    read,
    current,
    *images() {
      for (let page = 1; page <= present; page++) {
        const place = placeOf(page);
        if (place !== null && !free.has(page)) yield { page, place, isCurrent: true };
      }
      for (const { page, offset } of [...logged.pages].reverse()) {
        if (newest.get(page) !== -offset || free.has(page)) yield { page, place: -offset, isCurrent: false };
      }
      for (let page = 1; page <= inFile; page++)
        if (newest.has(page) || free.has(page)) yield { page, place: (page - 1) * size, isCurrent: false };
    },
  };
}

interface Header {
  free: number;
  count: number | null;
  version: number;
}

/** The header of the file (fileformat2 §1.3); `null` when it is none of ours. */
function headerOf(first: Buffer | null): Header | null {
  if (first === null || first.toString("latin1", 0, 16) !== MAGIC || first.readUInt32BE(68) !== APPLICATION_ID) return null;
  const isCounted = first.readUInt32BE(24) === first.readUInt32BE(92);
  return { free: first.readUInt32BE(32), count: isCounted ? first.readUInt32BE(28) : null, version: first.readUInt32BE(60) };
}

/** Trunks list the leaves of the freelist (§1.5); a broken one ends it. */
function freePages(trunk: number, present: number, size: number, current: Pages["current"]): Set<number> {
  const free = new Set<number>();
  for (let at = trunk; at > 1 && at <= present && !free.has(at); ) {
    const page = current(at);
    const count = page?.readUInt32BE(4) ?? 0;
    if (page === null || count > size / 4 - 2) break;
    const leaves = Array.from({ length: count }, (_, n) => page.readUInt32BE(8 + 4 * n));
    if (leaves.some((leaf) => leaf < 2 || leaf > present)) break;
    for (const page of [at, ...leaves]) free.add(page);
    at = page.readUInt32BE(0);
  }
  return free;
}

/** The size at which most pages make sense: the header that tells it may be broken. Where none does, what header and log tell. */
function pageSizeOf(main: Bytes, log: Bytes): number {
  const head = main.at(0, FILE_HEADER);
  const told = head.length < FILE_HEADER ? null : head.readUInt16BE(16) === 1 ? 65_536 : head.readUInt16BE(16);
  const candidates = [logPageSize(log), told, ...SIZES].filter((size) => size !== null && SIZES.includes(size));
  let best = { size: 4096, part: -1 };
  for (const size of candidates) {
    const part = size === null ? 0 : soundPart(main, size);
    if (size !== null && part > best.part) best = { size, part };
  }
  return best.size;
}

/** Of pages taken evenly out of the file, how many are b-trees that reach into their second half: pages taken too large or too small do not. */
function soundPart(main: Bytes, size: number): number {
  const pages = Math.floor(main.size / size);
  const step = Math.max(1, Math.floor(pages / SAMPLE));
  let [seen, sound] = [0, 0];
  for (let page = 1; page < pages; page += step) {
    const bytes = main.at(page * size, size);
    const found = bTreePage(bytes, false);
    seen++;
    if (found?.cells.some((cell) => cell !== null && cell.local.byteOffset - bytes.byteOffset >= size / 2)) sound++;
  }
  return seen === 0 ? 0 : sound / seen;
}
