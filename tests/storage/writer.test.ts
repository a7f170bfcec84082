import { join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import type { JournalEvent } from "../../src/core/journal.ts";
import type { RecordWriter } from "../../src/core/record.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { findRecord } from "../../src/storage/records.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { temporaryFolder } from "../support/archives.ts";
import { errorOf } from "../support/errors.ts";
import { bytesIn, everyKind, sampleEnd, sampleStart } from "../support/records.ts";

interface Bench {
  archive: Archive;
  /** A second program's view of the same file. */
  other: Database.Database;
  clock: QueueClock;
  writer: RecordWriter;
  /** Numbers of the events that are on disk. */
  onDisk(): number[];
  troubles: string[];
}

function bench(): Bench {
  const archive = openArchive(join(temporaryFolder(), "site.staunch"), { mode: "write" });
  const other = new Database(archive.path, { timeout: 0 });
  const clock = new QueueClock();
  const writer = createRecord(archive, sampleStart(), clock);
  const troubles: string[] = [];
  writer.onTrouble((error) => troubles.push(error instanceof Error && "code" in error ? String(error.code) : String(error)));
  const onDisk = (): number[] => other.prepare<[], number>("select seq from journal order by seq").pluck().all();
  return { archive, other, clock, writer, onDisk, troubles };
}

function done({ archive, other }: Bench): void {
  archive.close();
  other.close();
}

/** Runs the clock until the promise has settled; a hundred seconds at most. */
async function settle(clock: QueueClock, promise: Promise<void>): Promise<unknown> {
  let outcome: unknown = "waiting";
  promise.then(
    () => {
      outcome = "resolved";
    },
    (error) => {
      outcome = error;
    },
  );
  for (let i = 0; i < 1000 && outcome === "waiting"; i++) {
    await Promise.resolve();
    clock.runUntil(clock.now_ms() + 100);
  }
  await Promise.resolve();
  return outcome;
}

describe("createRecord", () => {
  it("has the start on disk before the first event", () => {
    const b = bench();
    const reading = openArchive(b.archive.path, { mode: "read" });
    expect(findRecord(reading, "last")).toEqual({ number: 1, start: sampleStart(), end: null });
    reading.close();
    done(b);
  });

  it("refuses an id it already has, and a disk that is full", () => {
    const b = bench();
    expect(() => createRecord(b.archive, sampleStart(), b.clock)).toThrow(expect.objectContaining({ code: "SQLITE_CONSTRAINT_UNIQUE" }));
    b.archive.db.pragma(`max_page_count = ${Number(b.archive.db.pragma("page_count", { simple: true }))}`);
    const long = sampleStart({ id: "b", stage: "x".repeat(100_000) });
    expect(errorOf(() => createRecord(b.archive, long, b.clock))).toMatchObject({ code: "archive-full", exit: 74 });
    done(b);
  });

  it("is not stopped by a lock at its very start", () => {
    const b = bench();
    b.other.exec("begin immediate");
    const writer = createRecord(b.archive, sampleStart({ id: "b" }), b.clock);
    for (let seq = 0; seq < 5; seq++) writer.append(bytesIn(seq, seq * 10));
    b.clock.runUntil(500);
    b.other.exec("rollback");
    b.clock.runUntil(600);
    expect(readJournal(b.archive, findRecord(b.archive, "b").number).length).toBe(5);
    done(b);
  });
});

describe("append", () => {
  it("only queues, then has everything on disk within 250 ms of its arrival", () => {
    const b = bench();
    const arrival: number[] = [];
    const landed: number[] = [];
    for (let at_ms = 0; at_ms <= 3000; at_ms++) {
      b.clock.runUntil(at_ms);
      if (at_ms % 7 === 0 && at_ms < 2500) {
        b.writer.append(bytesIn(arrival.length, at_ms));
        arrival.push(at_ms);
      }
      if (at_ms % 10 === 0) for (const seq of b.onDisk()) landed[seq] ??= at_ms;
    }
    expect(landed.length).toBe(arrival.length);
    const latest = Math.max(...arrival.map((at_ms, seq) => (landed[seq] ?? Infinity) - at_ms));
    expect(latest).toBeLessThanOrEqual(200);
    done(b);
  });

  it("writes a burst in one transaction and leaves no timer when there is nothing to do", () => {
    const b = bench();
    const before = dataVersion(b.other);
    for (let seq = 0; seq < 500; seq++) b.writer.append(bytesIn(seq, 0));
    expect(b.onDisk()).toEqual([]);
    b.clock.runUntil(200);
    expect(b.onDisk().length).toBe(500);
    expect(dataVersion(b.other)).toBe(before + 1);
    expect(b.clock.nextDue_ms()).toBeNull();
    done(b);
  });

  it("keeps every event in order, and throws nothing, while another program holds the lock", () => {
    const b = bench();
    b.other.exec("begin immediate");
    for (let seq = 0; seq < 50; seq++) {
      b.writer.append(bytesIn(seq, seq * 20));
      b.clock.runUntil(seq * 20);
    }
    expect(b.onDisk()).toEqual([]);
    expect(b.troubles).toEqual([]);
    b.other.exec("rollback");
    b.clock.runUntil(b.clock.now_ms() + 60);
    expect(readJournal(b.archive, 1)).toEqual(Array.from({ length: 50 }, (_, seq) => bytesIn(seq, seq * 20)));
    done(b);
  });

  it("tells a lock that lasts, once", () => {
    const b = bench();
    b.other.exec("begin immediate");
    b.writer.append(bytesIn(0, 0));
    b.clock.runUntil(1900);
    expect(b.troubles).toEqual([]);
    b.clock.runUntil(9000);
    expect(b.troubles).toEqual(["archive-locked"]);
    b.other.exec("rollback");
    done(b);
  });

  it("tells a full disk once, keeps the queue, and writes it when there is room", () => {
    const b = bench();
    // SQLite refuses to grow beyond this many pages with SQLITE_FULL, as it does when the disk is full.
    const pages = Number(b.archive.db.pragma("page_count", { simple: true }));
    b.archive.db.pragma(`max_page_count = ${pages}`);
    const events = Array.from({ length: 200 }, (_, seq) => bytesIn(seq, seq, "9".repeat(500)));
    for (const event of events) b.writer.append(event);
    b.clock.runUntil(3000);
    expect(b.troubles).toEqual(["archive-full"]);
    expect(b.onDisk()).toEqual([]);
    b.archive.db.pragma("max_page_count = 4294967294");
    b.clock.runUntil(3100);
    expect(readJournal(b.archive, 1)).toEqual(events);
    done(b);
  });

  it("tells a disk that turned read-only, also to a listener who comes late", () => {
    const b = bench();
    // With this SQLite answers SQLITE_READONLY, as it does on a file system mounted again for reading.
    b.archive.db.pragma("query_only = ON");
    b.writer.append(bytesIn(0, 0));
    b.clock.runUntil(1000);
    expect(b.troubles).toEqual(["archive-read-only"]);
    let late: unknown;
    b.writer.onTrouble((error) => {
      late = error;
    });
    expect(late).toMatchObject({ code: "archive-read-only", exit: 74 });
    b.archive.db.pragma("query_only = OFF");
    b.clock.runUntil(1100);
    expect(b.onDisk()).toEqual([0]);
    done(b);
  });

  it("loses nothing when the archive is closed in the middle", () => {
    const b = bench();
    b.writer.append(bytesIn(0, 0));
    b.archive.close();
    b.writer.append(bytesIn(1, 10));
    b.clock.runUntil(1000);
    expect(b.onDisk()).toEqual([0]);
    done(b);
  });
});

describe("end", () => {
  it("writes the rest of the journal and the verdict together", async () => {
    const b = bench();
    const events = everyKind();
    for (const event of events) b.writer.append(event);
    const before = dataVersion(b.other);
    const ending = b.writer.end(sampleEnd(sampleStart()));
    expect(dataVersion(b.other)).toBe(before + 1);
    await ending;
    expect(readJournal(b.archive, 1)).toEqual(events);
    expect(findRecord(b.archive, "last").end).toEqual(sampleEnd(sampleStart()));
    expect(b.clock.nextDue_ms()).toBeNull();
    done(b);
  });

  it("waits for a lock that goes away", async () => {
    const b = bench();
    b.writer.append(bytesIn(0, 0));
    b.other.exec("begin immediate");
    b.clock.at(3000, () => b.other.exec("rollback"));
    expect(await settle(b.clock, b.writer.end(sampleEnd(sampleStart())))).toBe("resolved");
    expect(b.onDisk()).toEqual([0]);
    expect(findRecord(b.archive, "last").end?.verdict.verdict).toBe("pass");
    done(b);
  });

  it("gives up after a while with the reason, keeps the journal, and may be asked again", async () => {
    const b = bench();
    b.writer.append(bytesIn(0, 0));
    b.other.exec("begin immediate");
    const outcome = await settle(b.clock, b.writer.end(sampleEnd(sampleStart())));
    expect(outcome).toMatchObject({ code: "archive-locked", exit: 74 });
    expect(b.clock.now_ms()).toBeLessThan(10_000);
    expect(findRecord(b.archive, "last").end).toBeNull();
    b.other.exec("rollback");
    expect(await settle(b.clock, b.writer.end(sampleEnd(sampleStart())))).toBe("resolved");
    expect(b.onDisk()).toEqual([0]);
    done(b);
  });

  it("leaves neither half behind on a full disk", async () => {
    const b = bench();
    b.archive.db.pragma(`max_page_count = ${Number(b.archive.db.pragma("page_count", { simple: true }))}`);
    const events: JournalEvent[] = Array.from({ length: 100 }, (_, seq) => bytesIn(seq, seq, "9".repeat(500)));
    for (const event of events) b.writer.append(event);
    const outcome = await settle(b.clock, b.writer.end(sampleEnd(sampleStart())));
    expect(outcome).toMatchObject({ code: "archive-full", exit: 74 });
    expect(b.troubles).toEqual(["archive-full"]);
    expect([b.onDisk(), findRecord(b.archive, "last").end]).toEqual([[], null]);
    done(b);
  });

  it("lets go what comes after it", async () => {
    const b = bench();
    await b.writer.end(sampleEnd(sampleStart()));
    b.writer.append(bytesIn(0, 0));
    b.clock.runUntil(1000);
    expect(b.onDisk()).toEqual([]);
    done(b);
  });
});

/** Counts other connections' commits (SQLite: pragma data_version). */
function dataVersion(db: Database.Database): number {
  return Number(db.pragma("data_version", { simple: true }));
}
