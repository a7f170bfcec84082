import { knowsGauges } from "./gauges.ts";
import type { Archive } from "./open.ts";

type Cell = string | number | null;

/** A gauge on file with all that lies under its name, columns without their numbers. */
export interface GaugeRows {
  key: string;
  name: string;
  added_wall_ms: number;
  sheets: Cell[][];
  zeros: Cell[][];
  checks: Cell[][];
}

const SHEET = `wall_ms, url, low_Pa, high_Pa, resolution_Pa, accuracy_fraction, accuracy_full_scale, accuracy_Pa, reference, calibrated, due,
  certificate, serial, identity, usb`;
const ZERO = "wall_ms, zero_Pa, moment, record";
const CHECK = "wall_ms, day, pressure_Pa, duration_s, drop_Pa, u_drop_Pa, allowed_Pa, passed, source, note";
const SERIAL = 12;

const places = (columns: string): string => columns.replaceAll(/\w+/g, "?");

/** What an archive has of the gauges of these keys, or of all; only zeros of records that `isWanted` names. */
export function gaugeRows(archive: Archive, keys: ReadonlySet<string> | null, isWanted: (record: string) => boolean): GaugeRows[] {
  if (!knowsGauges(archive)) return [];
  const { db } = archive;
  const gauges = db
    .prepare<[], Pick<GaugeRows, "key" | "name" | "added_wall_ms"> & { number: number }>(
      "select number, key, name, added_wall_ms from gauges order by number",
    )
    .all();
  const of = (table: string, columns: string) =>
    db.prepare<[number], Cell[]>(`select ${columns} from ${table} where gauge = ? order by number`).raw();
  const [sheets, zeros, checks] = [of("gauge_sheets", SHEET), of("gauge_zeros", ZERO), of("kit_checks", CHECK)];
  return gauges
    .filter(({ key }) => keys === null || keys.has(key))
    .map(({ number, ...gauge }) => ({
      ...gauge,
      sheets: sheets.all(number),
      zeros: zeros.all(number).filter(([, , , record]) => typeof record === "string" && isWanted(record)),
      checks: checks.all(number),
    }));
}

/**
 * Puts gauges into an archive; to be called inside a transaction. One that is known here keeps its sheets, for what is in force here is not for a
 * file to say: only its checks and zeros are taken, and only when it bears the same serial number. Names of those left out come back.
 */
export function writeGauges(archive: Archive, all: readonly GaugeRows[]): string[] {
  const { db } = archive;
  const known = db.prepare<[string], number>("select number from gauges where key = ?").pluck();
  const add = db.prepare("insert into gauges (key, name, added_wall_ms) values (?, ?, ?)");
  const serial = db
    .prepare<[number], string | null>("select serial from gauge_sheets where gauge = ? order by number desc limit 1")
    .pluck();
  const others: string[] = [];
  for (const gauge of all) {
    const here = known.get(gauge.key);
    if (here !== undefined && (serial.get(here) ?? null) !== (gauge.sheets.at(-1)?.[SERIAL] ?? null)) {
      others.push(gauge.name);
      continue;
    }
    const number = here ?? Number(add.run(gauge.key, gauge.name, gauge.added_wall_ms).lastInsertRowid);
    if (here === undefined) addMissing(archive, "gauge_sheets", SHEET, number, gauge.sheets);
    addMissing(archive, "gauge_zeros", ZERO, number, gauge.zeros);
    addMissing(archive, "kit_checks", CHECK, number, gauge.checks);
  }
  return others;
}

function addMissing({ db }: Archive, table: string, columns: string, gauge: number, rows: readonly Cell[][]): void {
  if (rows.length === 0) return;
  const present = new Set(
    db
      .prepare<[number], Cell[]>(`select ${columns} from ${table} where gauge = ?`)
      .raw()
      .all(gauge)
      .map((row) => JSON.stringify(row)),
  );
  const insert = db.prepare(`insert into ${table} (gauge, ${columns}) values (?, ${places(columns)})`);
  for (const row of rows) if (!present.has(JSON.stringify(row))) insert.run(gauge, ...row);
}
