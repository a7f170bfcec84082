import { VERDICT_WORDS } from "../core/record.ts";
import { type ListedRow, listedRow } from "./listedRow.ts";
import { startOf, verdictOf } from "./recordRows.ts";
import type { Scan, Where } from "./rescueScan.ts";

/** A row of the list of records, as it was found. */
interface Found {
  number: number;
  where: Where;
}

/** What is left of the list of records, and what indexes still tell of rows that are gone. */
export interface Listed {
  /** By id, in the order of their numbers. */
  found: ReadonlyMap<string, Found>;
  /** Ids of which only an index knows. */
  told: ReadonlySet<string>;
  /** Records of which an index says that they had a verdict. */
  ended: ReadonlySet<number>;
  /** Numbers that running tests were given by the counter of a key, by the record's number. */
  attempts: ReadonlyMap<number, { key: string; attempt: number }>;
  /** Id of the archive. */
  archive: string | null;
  /** `null`: what was known before the test cannot be read. */
  row(id: string): ListedRow | null;
}

const WORDS: ReadonlySet<string> = new Set(VERDICT_WORDS);
/** As this program makes them; an index of gauges' names looks alike. */
const RECORD_ID = /^\d{8}-\d{6}-\w+$/;
const ARCHIVE_ID = /^[0-9a-f]{32}$/;
const FINGERPRINT = /^[0-9a-f]{4}( [0-9a-f]{4}){7}$/;

/** Gathers them out of a scan, rows of current pages before older ones. */
export function listedIn(scan: Scan): Listed {
  const found = foundRecords(scan);
  const ends = new Map<number, Where[]>();
  for (const where of scan.rows.ends) if (where.rowid !== null) ends.set(where.rowid, [...(ends.get(where.rowid) ?? []), where]);
  const [told, ended] = [new Set<string>(), new Set<number>()];
  for (const where of scan.rows.listed) {
    const [text, number] = scan.read(where) ?? [];
    if (typeof text !== "string" || typeof number !== "number") continue;
    if (WORDS.has(text)) ended.add(number);
    else if (RECORD_ID.test(text) && !found.has(text)) told.add(text);
  }
  const row = (id: string): ListedRow | null => {
    const own = found.get(id);
    return own === undefined ? null : rowOf(scan, id, own, ends.get(own.number) ?? []);
  };
  return { found, told, ended, ...namedRows(scan), row };
}

function foundRecords(scan: Scan): Map<string, Found> {
  const [found, numbers] = [new Map<string, Found>(), new Set<number>()];
  for (const where of scan.rows.records) {
    const [number, id] = scan.read(where) ?? [];
    if (typeof number !== "number" || typeof id !== "string" || found.has(id) || numbers.has(number)) continue;
    found.set(id, { number, where });
    numbers.add(number);
  }
  return new Map([...found].sort(([, a], [, b]) => a.number - b.number));
}

function namedRows(scan: Scan): Pick<Listed, "attempts" | "archive"> {
  const attempts = new Map<number, { key: string; attempt: number }>();
  let archive: string | null = null;
  for (const where of scan.rows.named) {
    const [number, text, value] = scan.read(where) ?? [];
    if (typeof number !== "number" || typeof text !== "string" || typeof value !== "number") continue;
    if (ARCHIVE_ID.test(text)) archive ??= text;
    else if (FINGERPRINT.test(text) && !attempts.has(number)) attempts.set(number, { key: text, attempt: value });
  }
  return { attempts, archive };
}

function rowOf(scan: Scan, id: string, { number, where }: Found, ends: readonly Where[]): ListedRow | null {
  const json = scan.read(where)?.[7];
  const start = typeof json === "string" ? startOf(json, id) : null;
  if (start === null) return null;
  for (const end of ends) {
    const [, ended_wall_ms, , text] = scan.read(end) ?? [];
    const verdict = typeof text === "string" ? verdictOf(text) : null;
    if (verdict?.record === id && typeof ended_wall_ms === "number") return { ...listedRow(start, { ended_wall_ms, verdict }), number };
  }
  return { ...listedRow(start, null), number };
}
