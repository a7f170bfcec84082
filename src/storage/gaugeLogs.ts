import type { RecordSource } from "../core/link.ts";
import { findGauge, knowsGauges } from "./gauges.ts";
import type { Archive } from "./open.ts";
import { guarded } from "./trouble.ts";

/** What a gauge showed with nothing on it, before or after a test. */
export interface GaugeZero {
  wall_ms: number;
  zero_Pa: number;
  moment: "before" | "after";
  /** Id of the test's record. */
  record: string | null;
}

/** Hose and gauge capped at charge pressure. */
export interface KitCheck {
  wall_ms: number;
  /** `2026-03-01` on the clock of the machine that made it. */
  day: string;
  pressure_Pa: number;
  duration_s: number;
  /** Positive when air was lost. */
  drop_Pa: number;
  u_drop_Pa: number;
  allowed_Pa: number;
  passed: boolean;
  source: RecordSource;
  note: string | null;
}

/** All zeros of one test in one transaction. */
export function addZeros(archive: Archive, gauge: number, zeros: readonly GaugeZero[]): void {
  const insert = archive.db.prepare("insert into gauge_zeros (gauge, wall_ms, zero_Pa, moment, record) values (?, ?, ?, ?, ?)");
  const all = archive.db.transaction(() => {
    for (const { wall_ms, zero_Pa, moment, record } of zeros) insert.run(gauge, wall_ms, zero_Pa, moment, record);
  });
  guarded(archive.path, () => all.immediate());
}

/** Newest first. */
export function zerosOf(archive: Archive, gauge: number, limit: number): GaugeZero[] {
  const sql = "select wall_ms, zero_Pa, moment, record from gauge_zeros where gauge = ? order by number desc limit ?";
  return guarded(archive.path, () => archive.db.prepare<[number, number], GaugeZero>(sql).all(gauge, limit));
}

export function addKitCheck(archive: Archive, gauge: number, check: KitCheck): void {
  const { wall_ms, day, pressure_Pa, duration_s, drop_Pa, u_drop_Pa, allowed_Pa, passed, source, note } = check;
  const sql = `insert into kit_checks (gauge, wall_ms, day, pressure_Pa, duration_s, drop_Pa, u_drop_Pa, allowed_Pa, passed, source, note)
    values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`;
  const values = [wall_ms, day, pressure_Pa, duration_s, drop_Pa, u_drop_Pa, allowed_Pa, passed ? 1 : 0, source, note];
  guarded(archive.path, () => archive.db.prepare(sql).run(gauge, ...values));
}

type Row = Omit<KitCheck, "passed"> & { passed: number };

const CHECK = "select wall_ms, day, pressure_Pa, duration_s, drop_Pa, u_drop_Pa, allowed_Pa, passed, source, note from kit_checks";
const fromRow = (row: Row): KitCheck => ({ ...row, passed: row.passed === 1 });

/** Newest first. */
export function kitChecksOf(archive: Archive, gauge: number, limit: number): KitCheck[] {
  const sql = `${CHECK} where gauge = ? order by number desc limit ?`;
  return guarded(archive.path, () => archive.db.prepare<[number, number], Row>(sql).all(gauge, limit)).map(fromRow);
}

/** The checks that a named gauge had on this day, oldest first. */
export function kitChecksOfDay(archive: Archive, gaugeName: string, day: string): KitCheck[] {
  const gauge = knowsGauges(archive) ? findGauge(archive, gaugeName) : null;
  if (gauge === null) return [];
  const sql = `${CHECK} where gauge = ? and day = ? order by number`;
  return guarded(archive.path, () => archive.db.prepare<[number, string], Row>(sql).all(gauge.number, day)).map(fromRow);
}
