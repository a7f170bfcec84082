/**
 * Pages of an SQLite file, each read by itself, so that a broken one hides no other. Written from the published file format
 * (sqlite.org/fileformat2.html; its sections stand in brackets). Everything is outside input: what does not fit is `null`.
 */

/** What lies in one cell of a b-tree page [1.6]. */
export interface Cell {
  /** `null` in an index and in a table without rowid. */
  rowid: number | null;
  /** Bytes of the whole payload. */
  length: number;
  /** Those that lie in this page. */
  local: Buffer;
  /** The page where the rest begins; 0: there is no rest. */
  overflow: number;
}

export interface BTreePage {
  isIndex: boolean;
  cells: (Cell | null)[];
}

export type Value = null | number | string | Uint8Array;

const INDEX_INTERIOR = 0x02;
const TABLE_INTERIOR = 0x05;
const INDEX_LEAF = 0x0a;
const TABLE_LEAF = 0x0d;
/** The first page begins with the header of the file [1.3]. */
export const FILE_HEADER = 100;
/** No row of ours is longer: a block of five megabytes at most. */
const LONGEST_PAYLOAD = 8 << 20;

/** A number of one to eight bytes, and where the next thing begins [1.6]; longer ones stand for numbers that no archive holds. */
function varint(bytes: Buffer, from: number): [value: number, next: number] | null {
  let value = 0;
  for (let at = from; at < from + 8; at++) {
    const byte = bytes[at];
    if (byte === undefined) return null;
    value = value * 128 + (byte & 0x7f);
    if (byte < 0x80) return Number.isSafeInteger(value) ? [value, at + 1] : null;
  }
  return null;
}

/** A page of a b-tree [1.6]; a cell that makes no sense is `null`. `null`: it is none. */
export function bTreePage(page: Buffer, isFirst: boolean): BTreePage | null {
  const at = isFirst ? FILE_HEADER : 0;
  const type = page[at];
  const isLeaf = type === TABLE_LEAF || type === INDEX_LEAF;
  if (!isLeaf && type !== TABLE_INTERIOR && type !== INDEX_INTERIOR) return null;
  const count = page.readUInt16BE(at + 3);
  const pointers = at + (isLeaf ? 8 : 12);
  const content = page.readUInt16BE(at + 5) || 65_536;
  if (pointers + 2 * count > content || content > page.length) return null;
  const isIndex = type === INDEX_LEAF || type === INDEX_INTERIOR;
  const starts = Array.from({ length: count }, (_, n) => page.readUInt16BE(pointers + 2 * n));
  if (type === TABLE_INTERIOR) return { isIndex, cells: [] };
  return { isIndex, cells: starts.map((start) => (start < content ? null : cellAt(page, start + (isLeaf ? 0 : 4), isIndex))) };
}

function cellAt(page: Buffer, start: number, isIndex: boolean): Cell | null {
  const length = varint(page, start);
  const rowid = length === null || isIndex ? null : varint(page, length[1]);
  if (length === null || (rowid === null && !isIndex) || length[0] > LONGEST_PAYLOAD) return null;
  const from = rowid === null ? length[1] : rowid[1];
  const local = localBytes(length[0], page.length, isIndex);
  const isSpilt = local < length[0];
  if (from + local + (isSpilt ? 4 : 0) > page.length) return null;
  return {
    rowid: rowid === null ? null : rowid[0],
    length: length[0],
    local: page.subarray(from, from + local),
    overflow: isSpilt ? page.readUInt32BE(from + local) : 0,
  };
}

/** How much of a payload lies in the page itself [1.6]; archives reserve no bytes at the end of a page. */
function localBytes(length: number, usable: number, isIndex: boolean): number {
  const most = isIndex ? Math.floor(((usable - 12) * 64) / 255) - 23 : usable - 35;
  if (length <= most) return length;
  const least = Math.floor(((usable - 12) * 32) / 255) - 23;
  const wished = least + ((length - least) % (usable - 4));
  return wished <= most ? wished : least;
}

/** Types of the columns of a record [2.1], a letter each (N null, I whole number, R real, T text, B bytes), and where their values lie. */
export interface Layout {
  shape: string;
  columns: { type: number; from: number; to: number }[];
}

const SIZES = [0, 1, 2, 3, 4, 6, 8, 8, 0, 0];

/** `null`: the payload is no record, or not exactly as long as its columns. */
export function layoutOf({ local, length }: Cell): Layout | null {
  const header = varint(local, 0);
  if (header === null || header[0] > local.length) return null;
  const columns: Layout["columns"] = [];
  let [from, at] = header;
  let shape = "";
  while (at < header[0]) {
    const type = varint(local, at);
    if (type === null || type[0] === 10 || type[0] === 11) return null;
    const size = type[0] < 12 ? (SIZES[type[0]] ?? 0) : Math.floor((type[0] - 12) / 2);
    columns.push({ type: type[0], from, to: from + size });
    shape += letterOf(type[0]);
    from += size;
    at = type[1];
  }
  return at === header[0] && from === length ? { shape, columns } : null;
}

function letterOf(type: number): string {
  if (type === 0) return "N";
  if (type === 7) return "R";
  if (type < 12) return "I";
  return type % 2 === 0 ? "B" : "T";
}

const UTF8 = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true });

/** The values of a whole payload; `null` when a text is no UTF-8 or a number is beyond what an archive holds. */
export function valuesOf(payload: Buffer, { columns }: Layout): Value[] | null {
  try {
    return columns.map(({ type, from, to }) => cellValue(payload.subarray(from, to), type));
  } catch (error) {
    if (error instanceof TypeError || error instanceof RangeError) return null;
    throw error;
  }
}

function cellValue(bytes: Buffer, type: number): Value {
  if (type === 0) return null;
  if (type === 8 || type === 9) return type - 8;
  if (type >= 12) return type % 2 === 0 ? new Uint8Array(bytes) : UTF8.decode(bytes);
  if (type === 7) return bytes.readDoubleBE(0);
  if (bytes.length <= 6) return bytes.readIntBE(0, bytes.length);
  const value = Number(bytes.readBigInt64BE(0));
  if (!Number.isSafeInteger(value)) throw new RangeError("a number is beyond what an archive holds");
  return value;
}
