import type { Database } from "better-sqlite3";

const KIB = 1024;
const MIB = 1024 * KIB;
/** Names, words, hashes: nobody types more. */
const SHORT = 4 * KIB;
/** Wall times are milliseconds of a Date (ECMA-262, Time Values): no calendar goes further. */
const LAST_WALL_MS = 8.64e15;
const LARGEST_NUMBER = 2 ** 52;

interface Limits {
  rows: number;
  /** Bytes by column. */
  longest: Readonly<Record<string, number>>;
  /** Columns with a wall time. */
  walls?: readonly string[];
  /** Columns with a whole number that must not be below nought. */
  counts?: readonly string[];
}

/** What an archive of a large office stays far below. The tables that are derived are not read at all. */
const TABLES: Readonly<Record<string, Limits>> = {
  migrations: { rows: 1000, longest: { name: SHORT } },
  archive: { rows: 1, longest: { id: 64 } },
  records: {
    rows: 2_000_000,
    longest: { id: 200, source: 40, section: SHORT, stage: SHORT, method: SHORT, start: MIB },
    walls: ["started_wall_ms"],
  },
  ends: { rows: 2_000_000, longest: { word: 40, verdict: MIB }, walls: ["ended_wall_ms"] },
  journal: { rows: 100_000_000, longest: { kind: 40, body: MIB }, walls: ["wall_ms"], counts: ["seq", "at_ms"] },
  gauges: { rows: 100_000, longest: { key: SHORT, name: SHORT }, walls: ["added_wall_ms"] },
  gauge_sheets: {
    rows: 1_000_000,
    longest: { url: SHORT, calibrated: SHORT, due: SHORT, certificate: SHORT, serial: SHORT, identity: SHORT, usb: SHORT },
    walls: ["wall_ms"],
  },
  gauge_zeros: { rows: 5_000_000, longest: { record: 200 }, walls: ["wall_ms"] },
  kit_checks: { rows: 1_000_000, longest: { day: 40, source: 40, note: SHORT }, walls: ["wall_ms"] },
  keys: { rows: 100_000, longest: { public: 200 } },
  attempts: { rows: 2_000_000, longest: { key: 200 }, counts: ["attempt"] },
  seals: {
    rows: 8_000_000,
    longest: { chain: 64, subject: 200, previous: 64, head: 4 * MIB, seal: 64, signature: 128 },
    walls: ["sealed_wall_ms"],
    counts: ["number", "attempt"],
  },
  blocks: { rows: 16_000_000, longest: { bytes: 5 * MIB, hash: 64 }, counts: ["place"] },
};

interface GroupLimit {
  table: string;
  by: string;
  /** Of bytes that are in memory together. */
  column: string;
  rows: number;
  bytes: number;
  what: string;
}

/** A record is read as a whole: what many small rows make up must fit as well as each of them. */
const TOGETHER: readonly GroupLimit[] = [
  { table: "journal", by: "record", column: "body", rows: 4_000_000, bytes: 512 * MIB, what: "the open journal of a record" },
  { table: "seals", by: "subject", column: "head", rows: 10_000, bytes: 64 * MIB, what: "what is sealed of a record" },
  { table: "blocks", by: "entry", column: "bytes", rows: 10_000, bytes: 512 * MIB, what: "a sealed journal" },
];

function togetherFault(db: Database, { table, by, column, rows, bytes, what }: GroupLimit): string | null {
  const sql = `select 1 from ${table} group by ${by} having count(*) > ? or total(octet_length(${column})) > ? limit 1`;
  return db.prepare<[number, number]>(sql).get(rows, bytes) === undefined ? null : `${what} is larger than any may be`;
}

/** The first thing that is beyond what an archive may hold, in words; `null`: nothing. Lengths are asked for without reading what they measure. */
export function limitFault(db: Database, tables: ReadonlySet<string>): string | null {
  for (const [table, limits] of Object.entries(TABLES)) {
    const fault = tables.has(table) ? tableFault(db, table, limits) : null;
    if (fault !== null) return fault;
  }
  for (const limit of TOGETHER) {
    const fault = tables.has(limit.table) ? togetherFault(db, limit) : null;
    if (fault !== null) return fault;
  }
  return null;
}

function tableFault(db: Database, table: string, { rows, longest, walls = [], counts = [] }: Limits): string | null {
  const asked = [
    "count(*)",
    ...Object.keys(longest).map((column) => `max(octet_length(${column}))`),
    ...walls.map((column) => `max(abs(${column} / 1.0))`),
    ...counts.flatMap((column) => [`min(${column})`, `max(${column} / 1.0)`]),
  ];
  const found =
    db
      .prepare<[], (number | null)[]>(`select ${asked.join(", ")} from ${table}`)
      .raw()
      .get() ?? [];
  const values = found.map((value) => value ?? 0)[Symbol.iterator]();
  const next = (): number => values.next().value ?? 0;
  if (next() > rows) return `its table ${table} has more than ${rows} rows`;
  for (const [column, most] of Object.entries(longest)) if (next() > most) return `${table}.${column} is longer than ${most} bytes`;
  for (const column of walls) if (next() > LAST_WALL_MS) return `${table}.${column} is in no calendar`;
  for (const column of counts) if (next() < 0 || next() > LARGEST_NUMBER) return `${table}.${column} is out of range`;
  return null;
}
