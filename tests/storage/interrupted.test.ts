import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { JournalEvent } from "../../src/core/journal.ts";
import type { RecordStart, Verdict } from "../../src/core/record.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { closeInterrupted } from "../../src/storage/interrupted.ts";
import { appender, readJournal } from "../../src/storage/journal.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { findRecord, listRecords } from "../../src/storage/records.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { temporaryFolder } from "../support/archives.ts";
import { bytesIn, sampleEnd, sampleStart, sampleVerdict } from "../support/records.ts";

const found_ms = Date.UTC(2026, 2, 2, 6, 30);

/** Stands in for the session's fold: void when the journal's end says so, and it counts what it was shown. */
const finish = (start: RecordStart, journal: JournalEvent[]): Verdict => {
  const last = journal.at(-1);
  const isCut = last?.kind === "end" && last.cause === "interrupted";
  return sampleVerdict(start, { verdict: isCut ? "void" : "pass", readings: journal.length });
};

function withOpenRecord(events: JournalEvent[], over: Partial<RecordStart> = {}): Archive {
  const archive = openArchive(join(temporaryFolder(), "site.staunch"), { mode: "write" });
  appender(archive.db)(insertStart(archive.db, sampleStart(over)), events);
  return archive;
}

describe("closeInterrupted", () => {
  it("ends a cut-off record at its last stamp and says when it was found", () => {
    const archive = withOpenRecord([bytesIn(0, 100), bytesIn(1, 61_200)]);
    expect(closeInterrupted(archive, found_ms, finish)).toEqual({ closed: [sampleStart().id], failed: [] });
    const last = bytesIn(1, 61_200);
    expect(readJournal(archive, 1).at(-1)).toEqual({
      seq: 2,
      at_ms: 61_200,
      wall_ms: last.wall_ms,
      kind: "end",
      cause: "interrupted",
      detail: "The program stopped without an end; found at 2026-03-02T06:30:00.000Z.",
    });
    expect(findRecord(archive, "last").end).toEqual({
      ended_wall_ms: last.wall_ms,
      verdict: sampleVerdict(sampleStart(), { verdict: "void", readings: 3 }),
    });
    archive.close();
  });

  it("ends a record that has no event at its start", () => {
    const archive = withOpenRecord([]);
    closeInterrupted(archive, found_ms, finish);
    expect(readJournal(archive, 1)).toMatchObject([{ seq: 0, at_ms: 0, wall_ms: sampleStart().started_wall_ms, cause: "interrupted" }]);
    archive.close();
  });

  it("keeps the end of a test that died between its end and its verdict", () => {
    const end: JournalEvent = { seq: 1, at_ms: 620_000, wall_ms: 5, kind: "end", cause: "finished", detail: "" };
    const archive = withOpenRecord([bytesIn(0, 0), end]);
    closeInterrupted(archive, found_ms, finish);
    expect(readJournal(archive, 1).at(-1)).toEqual(end);
    expect(findRecord(archive, "last").end).toMatchObject({ ended_wall_ms: 5, verdict: { verdict: "pass" } });
    archive.close();
  });

  it("leaves ended records alone, closes each other once", () => {
    const archive = withOpenRecord([bytesIn(0, 0)]);
    const ended = sampleStart({ id: "ended" });
    insertEnd(archive.db, insertStart(archive.db, ended), sampleEnd(ended));
    insertStart(archive.db, sampleStart({ id: "another", started_wall_ms: sampleStart().started_wall_ms + 1 }));
    expect(closeInterrupted(archive, found_ms, finish).closed).toEqual([sampleStart().id, "another"]);
    expect(closeInterrupted(archive, found_ms, finish).closed).toEqual([]);
    expect(listRecords(archive, { verdict: "open" })).toEqual([]);
    expect(findRecord(archive, "ended").end).toEqual(sampleEnd(ended));
    archive.close();
  });

  it("names what it cannot close, leaves it as it was, and goes on with the next", () => {
    const archive = withOpenRecord([bytesIn(0, 0)]);
    insertStart(archive.db, sampleStart({ id: "good" }));
    archive.db.exec("update journal set kind = 'hearsay'");
    const { closed, failed } = closeInterrupted(archive, found_ms, finish);
    expect(closed).toEqual(["good"]);
    expect(failed).toMatchObject([{ id: sampleStart().id, error: { code: "archive-damaged", exit: 65 } }]);
    expect(archive.db.prepare("select count(*) from journal where record = 1").pluck().get()).toBe(1);
    archive.close();
  });

  it("leaves no end event when the verdict cannot be worked out", () => {
    const archive = withOpenRecord([bytesIn(0, 0)]);
    const { failed } = closeInterrupted(archive, found_ms, () => {
      throw new Error("fold");
    });
    expect(failed.length).toBe(1);
    expect(readJournal(archive, 1)).toEqual([bytesIn(0, 0)]);
    archive.close();
  });

  it("puts the end after what a writer of this very process still held", () => {
    const archive = openArchive(join(temporaryFolder(), "site.staunch"), { mode: "write" });
    const writer = createRecord(archive, sampleStart(), new QueueClock());
    writer.append(bytesIn(0, 10));
    writer.append(bytesIn(1, 20));
    closeInterrupted(archive, found_ms, finish);
    writer.append(bytesIn(2, 30));
    archive.close();
    const reading = openArchive(archive.path, { mode: "read" });
    expect(readJournal(reading, 1).map(({ seq, kind }) => [seq, kind])).toEqual([
      [0, "bytes-in"],
      [1, "bytes-in"],
      [2, "end"],
    ]);
    reading.close();
  });
});
