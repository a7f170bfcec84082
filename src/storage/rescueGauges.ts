import { type GaugeRows, writeGauges } from "./gaugeRows.ts";
import type { Archive } from "./open.ts";
import type { Value } from "./rescueFormat.ts";
import type { Scan, TableName } from "./rescueScan.ts";
import { sqliteCode } from "./trouble.ts";

export interface RescuedGauges {
  gauges: { name: string; sheets: number; zeros: number; checks: number }[];
  /** Sheets, zeros and checks of gauges whose name or sheets are gone. */
  strays: number;
}

type Row = (string | number | null)[];

/** Puts the gauges on file into `into`; to be called inside a transaction. */
export function rescueGauges(scan: Scan, into: Archive): RescuedGauges {
  const under = {
    sheets: rowsByGauge(scan, "gauge_sheets"),
    zeros: rowsByGauge(scan, "gauge_zeros"),
    checks: rowsByGauge(scan, "kit_checks"),
  };
  const done: RescuedGauges = { gauges: [], strays: 0 };
  for (const [number, gauge] of numbered(scan, "gauges")) {
    const [, key, name, added_wall_ms] = gauge;
    if (typeof key !== "string" || typeof name !== "string" || typeof added_wall_ms !== "number") continue;
    const rows = { sheets: taken(under.sheets, number), zeros: taken(under.zeros, number), checks: taken(under.checks, number) };
    // A gauge without a sheet says nothing of itself: no list would show it.
    const isKept = rows.sheets.length > 0 && isPut(into, { key, name, added_wall_ms, ...rows });
    const counts = { sheets: rows.sheets.length, zeros: rows.zeros.length, checks: rows.checks.length };
    if (isKept) done.gauges.push({ name, ...counts });
    else done.strays += 1 + counts.sheets + counts.zeros + counts.checks;
  }
  for (const left of Object.values(under)) for (const rows of left.values()) done.strays += rows.length;
  return done;
}

/** Rows of a table by their number, each once: those of current pages come first. */
function numbered(scan: Scan, table: TableName): Map<number, Value[]> {
  const found = new Map<number, Value[]>();
  for (const where of scan.rows[table]) {
    const values = where.rowid === null || found.has(where.rowid) ? null : scan.read(where);
    if (values !== null && where.rowid !== null) found.set(where.rowid, values);
  }
  return new Map([...found].sort(([a], [b]) => a - b));
}

function rowsByGauge(scan: Scan, table: TableName): Map<number, Row[]> {
  const byGauge = new Map<number, Row[]>();
  for (const [, gauge, ...values] of numbered(scan, table).values()) {
    if (typeof gauge !== "number") continue;
    const row = values.map((value) => (value instanceof Uint8Array ? null : value));
    const rows = byGauge.get(gauge);
    if (rows) rows.push(row);
    else byGauge.set(gauge, [row]);
  }
  return byGauge;
}

function taken(from: Map<number, Row[]>, gauge: number): Row[] {
  const rows = from.get(gauge) ?? [];
  from.delete(gauge);
  return rows;
}

function isPut(into: Archive, gauge: GaugeRows): boolean {
  try {
    into.db.transaction(() => writeGauges(into, [gauge]))();
    return true;
  } catch (error) {
    // A stranger's file may hold what no table of ours takes.
    if (sqliteCode(error)?.startsWith("SQLITE_CONSTRAINT")) return false;
    throw error;
  }
}
