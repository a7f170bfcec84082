import { dataError } from "../core/errors.ts";
import { bTreePage, type Cell, layoutOf, type Value, valuesOf } from "./rescueFormat.ts";
import type { Pages } from "./rescuePages.ts";

/** Tables by the types of their columns, which no two of them share; real numbers without a fraction are kept as whole ones (§2.1, strict tables). */
const TABLES = {
  records: /^NTITTTTT$/,
  ends: /^NITT$/,
  seals: /^NTITT[IN]IBBBBI$/,
  blocks: /^IIBB$/,
  keys: /^NB$/,
  /** Three tables with a text and a number: the text tells which. */
  named: /^NTI$/,
  gauges: /^NTTI$/,
  gauge_sheets: /^NIIT[RIN]{6}[TN]{7}$/,
  gauge_zeros: /^NII[RI]T[TN]$/,
  kit_checks: /^NIIT[RI]{5}IT[TN]$/,
} as const;
const INDEXES = {
  journal: /^IIIIT[BTN]$/,
  /** `seals_by_subject`: it knows of sealed entries whose own rows are gone. */
  sealed: /^TTI$/,
  /** Ids of records, and verdicts' words, with the record's number. */
  listed: /^TI$/,
} as const;

export type TableName = keyof typeof TABLES | keyof typeof INDEXES;

/** Where a row lies. */
export interface Where {
  place: number;
  cell: number;
  rowid: number | null;
  isCurrent: boolean;
}

export interface Scan {
  /** Those of current pages first. */
  rows: Readonly<Record<TableName, Where[]>>;
  /** The values of a row, its number in the place of the first column where that is the row's own; `null`: it cannot be read. */
  read(where: Where): Value[] | null;
  /** Pages of the archive that make no sense, or belong to nothing that can be read; and those that are not there at all. */
  unreadable: number;
  missing: number;
  /** Rows that make no sense on pages that do. */
  spoiltRows: number;
}

/** More than an archive of 16 GiB holds. */
const MOST_ROWS = 20_000_000;
/** The page at this byte is never used (fileformat2 §1.4). */
const LOCK_BYTE = 0x4000_0000;

/** Looks at every page by itself: no row is found by way of another. Journals are left for `openJournals`. */
export function scan(pages: Pages): Scan {
  const rows: Scan["rows"] = Object.fromEntries([...Object.keys(TABLES), ...Object.keys(INDEXES)].map((name) => [name, []])) as never;
  const known = new Uint8Array(pages.present + 1);
  for (const page of pages.free) known[page] = 1;
  known[Math.floor(LOCK_BYTE / pages.size) + 1] = 1;
  let [spoiltRows, count] = [0, 0];
  for (const image of pages.images()) {
    const page = bTreePage(pages.read(image.place), image.page === 1);
    if (page === null) continue;
    if (image.isCurrent) known[image.page] = 1;
    for (const [n, cell] of page.cells.entries()) {
      const table = cell === null ? undefined : tableOf(cell, page.isIndex);
      if (image.isCurrent && cell !== null) for (const at of overflowOf(pages, cell)) known[at] = 1;
      if (image.isCurrent && (cell === null || layoutOf(cell) === null)) spoiltRows++;
      if (cell === null || table === undefined || table === "journal") continue;
      if (++count > MOST_ROWS)
        throw dataError("archive-too-large", "The file holds more rows than an archive can.", "Choose the right file.");
      rows[table].push({ place: image.place, cell: n, rowid: cell.rowid, isCurrent: image.isCurrent });
    }
  }
  const all = Math.min(pages.claimed ?? pages.present, pages.present);
  return {
    rows,
    read: (where) => readRow(pages, where),
    unreadable: known.subarray(1, all + 1).filter((is) => is === 0).length,
    missing: Math.max(0, (pages.claimed ?? 0) - pages.present),
    spoiltRows,
  };
}

function tableOf(cell: Cell, isIndex: boolean): TableName | undefined {
  const shape = layoutOf(cell)?.shape;
  if (shape === undefined) return undefined;
  const tables: Partial<Record<TableName, RegExp>> = isIndex ? INDEXES : TABLES;
  return (Object.keys(tables) as TableName[]).find((name) => tables[name]?.test(shape));
}

/** The pages that hold the rest of a payload, as far as they are there (§1.6). */
function* overflowOf({ size, current }: Pages, { length, local, overflow }: Cell): Generator<number> {
  let at = overflow;
  for (let left = length - local.length; left > 0 && at !== 0; left -= size - 4) {
    const page = current(at);
    if (page === null) return;
    yield at;
    at = page.readUInt32BE(0);
  }
}

function readRow(pages: Pages, { place, cell: n, rowid }: Pick<Where, "place" | "cell" | "rowid">): Value[] | null {
  // Only the first page carries a header, and it holds no row of ours.
  const cell = bTreePage(pages.read(place), false)?.cells[n] ?? null;
  const values = cell === null ? null : cellValues(pages, cell);
  if (values === null || rowid === null || values[0] !== null) return values;
  return [rowid, ...values.slice(1)];
}

function cellValues(pages: Pages, cell: Cell): Value[] | null {
  const layout = layoutOf(cell);
  const payload = layout === null ? null : payloadOf(pages, cell);
  return layout === null || payload === null ? null : valuesOf(payload, layout);
}

function payloadOf(pages: Pages, cell: Cell): Buffer | null {
  const parts = [cell.local];
  for (const at of overflowOf(pages, cell)) {
    const page = pages.current(at);
    if (page !== null) parts.push(page.subarray(4));
  }
  const payload = Buffer.concat(parts);
  return payload.length < cell.length ? null : payload.subarray(0, cell.length);
}

/** Rows of the open journals of these records, each seq once; current pages first. */
export function openJournals(pages: Pages, records: ReadonlySet<number>): Map<number, Map<number, Value[]>> {
  const found = new Map<number, Map<number, Value[]>>();
  if (records.size === 0) return found;
  for (const image of pages.images()) {
    const page = bTreePage(pages.read(image.place), image.page === 1);
    if (page?.isIndex !== true) continue;
    for (const cell of page.cells) {
      const values = cell !== null && tableOf(cell, true) === "journal" ? cellValues(pages, cell) : null;
      const [record, seq] = values ?? [];
      if (values === null || typeof record !== "number" || typeof seq !== "number" || !records.has(record)) continue;
      const journal = found.get(record) ?? new Map<number, Value[]>();
      found.set(record, journal);
      if (!journal.has(seq)) journal.set(seq, values);
    }
  }
  return found;
}
