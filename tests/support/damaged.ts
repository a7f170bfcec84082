import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { EMPTY_SHEET } from "../../src/core/gauges/sheet.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import { countersign } from "../../src/storage/countersign.ts";
import { addKitCheck, addZeros } from "../../src/storage/gaugeLogs.ts";
import { addGauge, findGauge } from "../../src/storage/gauges.ts";
import { appender } from "../../src/storage/journal.ts";
import type { MachineKey } from "../../src/storage/key.ts";
import type { Archive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { appendReview } from "../../src/storage/reviews.ts";
import { insertAttempt } from "../../src/storage/sealRecord.ts";
import { temporaryFolder } from "./archives.ts";
import { everyKind, noisyReadings, sampleEnd, sampleStart } from "./records.ts";
import { sealedBench, sealedRecord } from "./sealed.ts";

/** An archive to be damaged: sealed records small and large, reviews, a gauge, a record without a seal and one without an end. All invented. */
export const SEALED = ["a1", "b2", "c3", "d4", "e5"].map((tail, n) => `2026030${n + 1}-081500-${tail}${tail}`);
export const UNSEALED = "20260307-081500-f6f6";
export const UNFINISHED = "20260308-081500-g7g7";
export const EVENTS_OPEN = 250;

/** Its bytes, those of its log when it was not closed, the key that sealed, and its id. */
export interface Victim {
  main: Buffer;
  log: Buffer | null;
  key: MachineKey;
  id: string;
}

/** `isClosed` false: as it lies on the disk after the power has gone, with its log beside it. */
export async function victim(isClosed: boolean): Promise<Victim> {
  const bench = sealedBench();
  const { archive, key } = bench;
  const long = {
    ...sampleStart().limits,
    working: Array.from({ length: 120 }, (_, n) => `line ${n} of a long working, so that its head needs pages`),
  };
  addGauge(archive, "East", { ...EMPTY_SHEET, url: "serial:///dev/ttyUSB0", serial: "0815" }, 1);
  for (const [n, id] of SEALED.entries())
    await sealedRecord(bench, id, n % 2 === 0 ? largeJournal(n) : everyKind(), n === 3 ? { limits: long } : {});
  besides(archive, key);
  openOnes(archive, key);
  if (isClosed) archive.close();
  const found = { main: readFileSync(archive.path), log: isClosed ? null : readFileSync(`${archive.path}-wal`), key, id: archive.id };
  archive.close();
  return found;
}

/** Some readings, and bytes that do not deflate, so that its block needs pages of its own. */
function largeJournal(n: number): JournalEvent[] {
  const readings = noisyReadings(40);
  const last = readings.at(-1);
  return last === undefined ? [] : [...readings, { ...last, seq: readings.length, kind: "bytes-in", bytes: noise(3000 * n + 100, n) }];
}

function besides(archive: Archive, key: MachineKey): void {
  const [first = "", second = ""] = SEALED;
  appendReview(archive, key, first, { word: "accept", by: "S. Visor (invented)", reason: "", wall_ms: 1 });
  appendReview(archive, key, second, { word: "return", by: "S. Visor (invented)", reason: "wet", wall_ms: 2 });
  countersign(archive, key, { record: first, by: "W. Witness (invented)", wall_ms: 3 });
  const gauge = findGauge(archive, "East")?.number ?? 0;
  addZeros(archive, gauge, [{ wall_ms: 1, zero_Pa: 0.25, moment: "before", record: first }]);
  const check = {
    day: "2026-03-01",
    pressure_Pa: 1000,
    duration_s: 60,
    drop_Pa: 2,
    u_drop_Pa: 1,
    allowed_Pa: 25,
    passed: true,
    note: null,
  };
  addKitCheck(archive, gauge, { wall_ms: 2, ...check, source: "gauge" });
}

function openOnes(archive: Archive, key: MachineKey): void {
  const ended = sampleStart({ id: UNSEALED });
  const number = insertStart(archive.db, ended);
  appender(archive.db)(number, everyKind());
  insertEnd(archive.db, number, sampleEnd(ended));
  const open = insertStart(archive.db, sampleStart({ id: UNFINISHED }));
  insertAttempt(archive, open, key.fingerprint, key.beginAttempt());
  appender(archive.db)(open, noisyReadings(EVENTS_OPEN));
}

/** Puts a victim down, spoilt by `spoil`; its path. */
export function putDown({ main, log }: Victim, spoil: (main: Buffer, log: Buffer) => { main: Buffer; log: Buffer } | undefined): string {
  const copies = { main: Buffer.from(main), log: Buffer.from(log ?? []) };
  const spoilt = spoil(copies.main, copies.log) ?? copies;
  const path = join(temporaryFolder(), "damaged.staunch");
  writeFileSync(path, spoilt.main);
  if (log !== null) writeFileSync(`${path}-wal`, spoilt.log);
  return path;
}

/** Bytes without rule, the same each time (a linear congruential generator). */
export function noise(length: number, seed: number): Buffer {
  let state = seed;
  return Buffer.from(
    Array.from({ length }, () => {
      state = (Math.imul(state, 1_103_515_245) + 12_345) >>> 0;
      return (state >>> 16) & 0xff;
    }),
  );
}

interface Stat {
  name: string;
  path: string;
  pageno: number;
  pagetype: string;
  ncell: number;
}

/**
 * The pages that hold what each record cannot do without, as SQLite itself tells (its table dbstat): the n-th row of a table lies on the leaf that
 * the counts of cells lead to, and on the overflow pages whose path names that leaf and cell.
 */
export function pagesOfRecords({ main, log }: Victim): Map<string, Set<number>> {
  const path = join(temporaryFolder(), "whole.staunch");
  writeFileSync(path, main);
  if (log !== null) writeFileSync(`${path}-wal`, log);
  const db = new Database(path);
  const pagesOf = (table: string, key: string): { key: unknown; pages: number[] }[] => {
    const keys = db.prepare<[], unknown>(`select ${key} from ${table} order by rowid`).pluck().all();
    const stats = db
      .prepare<[string], Stat>("select name, path, pageno, pagetype, ncell from dbstat where name = ? order by path")
      .all(table);
    const rows = stats
      .filter(({ pagetype }) => pagetype === "leaf")
      .flatMap(({ path, pageno, ncell }) =>
        Array.from({ length: ncell }, (_, cell) => {
          const over = `${path}${cell.toString(16).padStart(3, "0")}+`;
          return [pageno, ...stats.filter((one) => one.path.startsWith(over)).map((one) => one.pageno)];
        }),
      );
    return rows.map((pages, n) => ({ key: keys[n], pages }));
  };
  const all = new Map<string, Set<number>>();
  const add = (id: unknown, pages: readonly number[]): void => {
    const known = all.get(String(id)) ?? new Set();
    for (const page of pages) known.add(page);
    all.set(String(id), known);
  };
  const idOf = new Map(db.prepare<[], [number, string]>("select number, id from records").raw().all());
  for (const { key, pages } of pagesOf("seals", "kind || ' ' || subject")) {
    const [kind, id] = String(key).split(" ");
    if (kind === "record") add(id, pages);
  }
  for (const { key, pages } of pagesOf("blocks", "(select subject from seals s where s.entry = blocks.entry)")) add(key, pages);
  for (const { key, pages } of pagesOf("records", "id")) if (key === UNSEALED || key === UNFINISHED) add(key, pages);
  for (const { key, pages } of pagesOf("ends", "record")) if (idOf.get(Number(key)) === UNSEALED) add(UNSEALED, pages);
  const journal = db.prepare<[], number>("select pageno from dbstat where name = 'journal'").pluck().all();
  for (const id of [UNSEALED, UNFINISHED]) add(id, journal);
  db.close();
  return all;
}
