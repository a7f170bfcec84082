import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import type { JournalEvent } from "../../src/core/journal.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { sampleEnd, sampleStart } from "../support/records.ts";

/** Writing and reading a journal through our modules against the barest statements that move the same rows, in interleaved rounds. */
const EVENTS = 10_000;
const PER_COMMIT = 20;
const ROUNDS = 5;
const CALLS = 200_000;

const bytes = new TextEncoder().encode("+9.8066E+02\r\n");
const events = Array.from(
  { length: EVENTS },
  (_, seq): JournalEvent => ({ seq, at_ms: seq * 10, wall_ms: 1_767_225_600_000 + seq * 10, kind: "bytes-in", bytes }),
);

function timed_ms(action: () => void): number {
  const from = process.hrtime.bigint();
  action();
  return Number(process.hrtime.bigint() - from) / 1e6;
}

const folder = mkdtempSync(join(tmpdir(), "staunch-append-"));
let files = 0;
const fresh = (): string => join(folder, `${files++}.staunch`);

/** 20 events fall due in one flush, as at 100 Hz. */
function ours(): { write_ms: number; read_ms: number } {
  const archive = openArchive(fresh(), { mode: "write" });
  const clock = new QueueClock();
  const writer = createRecord(archive, sampleStart(), clock);
  const write_ms = timed_ms(() => {
    for (let at = 0; at < EVENTS; at += PER_COMMIT) {
      for (const event of events.slice(at, at + PER_COMMIT)) writer.append(event);
      clock.runUntil(clock.now_ms() + 200);
    }
    void writer.end(sampleEnd(sampleStart()));
  });
  const read_ms = timed_ms(() => {
    if (readJournal(archive, 1).length !== EVENTS) throw new Error("events are missing");
  });
  archive.close();
  return { write_ms, read_ms };
}

function barest(): { write_ms: number; read_ms: number } {
  const db = new Database(fresh());
  db.exec("pragma journal_mode = wal; pragma synchronous = full; create table j (r, s, a, w, k, b, primary key (r, s)) without rowid");
  const insert = db.prepare("insert into j values (1, ?, ?, ?, ?, ?)");
  const commit = db.transaction((at: number) => {
    for (let i = at; i < at + PER_COMMIT; i++) insert.run(i, i * 10, 1_767_225_600_000 + i * 10, "bytes-in", bytes);
  });
  const write_ms = timed_ms(() => {
    for (let at = 0; at < EVENTS; at += PER_COMMIT) commit.immediate(at);
  });
  const read_ms = timed_ms(() => {
    if (db.prepare("select s, a, w, k, b from j where r = 1 order by s").all().length !== EVENTS) throw new Error("rows are missing");
  });
  db.close();
  return { write_ms, read_ms };
}

/** What `append` costs the one who stamps: nothing but a push, whatever the disk does. */
function callCost_ns(): number {
  const archive = openArchive(fresh(), { mode: "write" });
  const writer = createRecord(archive, sampleStart(), new QueueClock());
  const [event] = events;
  if (event === undefined) throw new Error("no events");
  const ms = timed_ms(() => {
    for (let i = 0; i < CALLS; i++) writer.append({ ...event, seq: i });
  });
  archive.close();
  return (ms * 1e6) / CALLS;
}

const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

try {
  const rounds = Array.from({ length: ROUNDS }, () => ({ ours: ours(), barest: barest() }));
  for (const what of ["write_ms", "read_ms"] as const) {
    const [mine, bare] = [median(rounds.map((round) => round.ours[what])), median(rounds.map((round) => round.barest[what]))];
    const name = what === "write_ms" ? `write ${EVENTS} events, ${PER_COMMIT} a commit` : `read ${EVENTS} events`;
    console.log(
      `${name.padEnd(36)} ${mine.toFixed(0).padStart(6)} ms   barest ${bare.toFixed(0).padStart(6)} ms   × ${(mine / bare).toFixed(2)}`,
    );
  }
  console.log(`append()${" ".repeat(28)} ${callCost_ns().toFixed(0).padStart(6)} ns a call`);
} finally {
  rmSync(folder, { recursive: true, force: true });
}
