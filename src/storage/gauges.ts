import type { Database } from "better-sqlite3";
import { usageError } from "../core/errors.ts";
import type { GaugeSheet } from "../core/gauges/sheet.ts";
import { plainText } from "../core/text.ts";
import { versionOf } from "./migrate.ts";
import type { Archive } from "./open.ts";
import { guarded } from "./trouble.ts";

export interface GaugeOnFile {
  /** Number inside this archive. */
  number: number;
  name: string;
  added_wall_ms: number;
  /** The sheet in force. */
  sheet: GaugeSheet;
}

/** A sheet and when it was written. */
export interface DatedSheet {
  wall_ms: number;
  sheet: GaugeSheet;
}

/** An archive opened for reading only may be older than gauges: then there are none. */
export const knowsGauges = (archive: Archive): boolean => versionOf(archive.db) >= 2;

/** Two spellings that look alike in a trench are one name. */
export const gaugeKey = (name: string): string => name.normalize("NFKC").trim().replace(/\s+/g, " ").toLowerCase();

/** Puts a gauge on file. A StaunchError `gauge-known` (64) when the name is taken. */
export function addGauge(archive: Archive, name: string, sheet: GaugeSheet, wall_ms: number): void {
  const add = archive.db.transaction(() => {
    const known = archive.db.prepare<string, string>("select name from gauges where key = ?").pluck().get(gaugeKey(name));
    if (known !== undefined)
      throw usageError(
        "gauge-known",
        `There is a gauge ${JSON.stringify(plainText(known, 60))} on file already.`,
        "Take another name; a new calibration goes in by: staunch gauges calibrate NAME",
      );
    const done = archive.db.prepare("insert into gauges (key, name, added_wall_ms) values (?, ?, ?)").run(gaugeKey(name), name, wall_ms);
    insertSheet(archive.db, Number(done.lastInsertRowid), sheet, wall_ms);
  });
  guarded(archive.path, () => add.immediate());
}

/** A new sheet, in force from now on; the ones before stay. */
export const addSheet = (archive: Archive, gauge: number, sheet: GaugeSheet, wall_ms: number): void =>
  guarded(archive.path, () => insertSheet(archive.db, gauge, sheet, wall_ms));

const COLUMNS: readonly (keyof GaugeSheet)[] = [
  "url",
  "low_Pa",
  "high_Pa",
  "resolution_Pa",
  "accuracy_fraction",
  "accuracy_full_scale",
  "accuracy_Pa",
  "reference",
  "calibrated",
  "due",
  "certificate",
  "serial",
  "identity",
  "usb",
];

function insertSheet(db: Database, gauge: number, sheet: GaugeSheet, wall_ms: number): void {
  const places = COLUMNS.map(() => "?").join(", ");
  db.prepare(`insert into gauge_sheets (gauge, wall_ms, ${COLUMNS.join(", ")}) values (?, ?, ${places})`).run(
    gauge,
    wall_ms,
    ...COLUMNS.map((column) => sheet[column]),
  );
}

type Row = GaugeSheet & { number: number; name: string; added_wall_ms: number };

const LATEST = `select g.number, g.name, g.added_wall_ms, ${COLUMNS.map((column) => `s.${column}`).join(", ")}
  from gauges g join gauge_sheets s on s.number = (select max(number) from gauge_sheets where gauge = g.number)`;

const fromRow = ({ number, name, added_wall_ms, ...sheet }: Row): GaugeOnFile => ({ number, name, added_wall_ms, sheet });

/** The gauge of this name, or `null`. */
export function findGauge(archive: Archive, name: string): GaugeOnFile | null {
  if (!knowsGauges(archive)) return null;
  const row = guarded(archive.path, () => archive.db.prepare<string, Row>(`${LATEST} where g.key = ?`).get(gaugeKey(name)));
  return row === undefined ? null : fromRow(row);
}

/** By name. */
export function listGauges(archive: Archive): GaugeOnFile[] {
  if (!knowsGauges(archive)) return [];
  return guarded(archive.path, () => archive.db.prepare<[], Row>(`${LATEST} order by g.key`).all()).map(fromRow);
}

/** Every sheet a gauge ever had, oldest first. */
export function sheetsOf(archive: Archive, gauge: number): DatedSheet[] {
  type SheetRow = GaugeSheet & { wall_ms: number };
  const sql = `select wall_ms, ${COLUMNS.join(", ")} from gauge_sheets where gauge = ? order by number`;
  const rows = guarded(archive.path, () => archive.db.prepare<number, SheetRow>(sql).all(gauge));
  return rows.map(({ wall_ms, ...sheet }) => ({ wall_ms, sheet }));
}
