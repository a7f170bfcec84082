import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { JournalEvent } from "../../src/core/journal.ts";
import { appender, readJournal } from "../../src/storage/journal.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { insertStart } from "../../src/storage/recordRows.ts";
import { temporaryFolder } from "../support/archives.ts";
import { errorOf } from "../support/errors.ts";
import { bytesIn, everyKind, sampleStart } from "../support/records.ts";

const opened = (): Archive => openArchive(join(temporaryFolder(), "site.staunch"), { mode: "write" });

function kept(events: JournalEvent[]): { archive: Archive; record: number } {
  const archive = opened();
  const record = insertStart(archive.db, sampleStart());
  archive.db.transaction(() => appender(archive.db)(record, events))();
  return { archive, record };
}

describe("the journal on disk", () => {
  it("gives back every kind of event to the last byte", () => {
    const { archive, record } = kept(everyKind());
    archive.close();
    const reading = openArchive(archive.path, { mode: "read" });
    expect(readJournal(reading, record)).toEqual(everyKind());
    reading.close();
  });

  it("gives back any bytes and any whole stamps", () => {
    const archive = opened();
    const insert = appender(archive.db);
    let number = 0;
    const stamp = fc.integer({ min: -8.64e15, max: 8.64e15 });
    fc.assert(
      fc.property(fc.array(fc.record({ at_ms: stamp, wall_ms: stamp, bytes: fc.uint8Array() }), { maxLength: 20 }), (rows) => {
        const events = rows.map((row, seq): JournalEvent => ({ ...row, seq, kind: "bytes-in" }));
        const record = insertStart(archive.db, sampleStart({ id: `record-${number++}` }));
        insert(record, events);
        expect(readJournal(archive, record)).toEqual(events);
      }),
      { numRuns: 50 },
    );
    archive.close();
  });

  it("gives events in the order of their numbers, each record its own", () => {
    const { archive, record } = kept([bytesIn(2, 20), bytesIn(0, 0), bytesIn(1, 10)]);
    const other = insertStart(archive.db, sampleStart({ id: "other" }));
    appender(archive.db)(other, [bytesIn(0, 77)]);
    expect(readJournal(archive, record).map(({ seq }) => seq)).toEqual([0, 1, 2]);
    expect(readJournal(archive, other)).toEqual([bytesIn(0, 77)]);
    archive.close();
  });

  it("takes no number twice and no record that is not there", () => {
    const { archive, record } = kept([bytesIn(0, 0)]);
    expect(() => appender(archive.db)(record, [bytesIn(0, 5)])).toThrow(expect.objectContaining({ code: "SQLITE_CONSTRAINT_PRIMARYKEY" }));
    expect(() => appender(archive.db)(record + 1, [bytesIn(0, 5)])).toThrow(
      expect.objectContaining({ code: "SQLITE_CONSTRAINT_FOREIGNKEY" }),
    );
    archive.close();
  });

  const broken: [string, string, unknown][] = [
    ["an unknown kind", "hearsay", null],
    ["text where bytes belong", "bytes-in", "1000"],
    ["JSON cut in two", "end", '{"cause":"fin'],
    ["a cause nobody knows", "end", '{"cause":"whim","detail":""}'],
    ["a zero that is no number", "zero", '{"zero_Pa":"1"}'],
    ["a list where fields belong", "key", "[]"],
    ["nothing where fields belong", "link-up", null],
  ];
  for (const [what, kind, body] of broken)
    it(`calls ${what} damage instead of passing over it`, () => {
      const { archive, record } = kept([bytesIn(0, 0)]);
      archive.db.prepare("insert into journal values (?, 1, 1, 1, ?, ?)").run(record, kind, body);
      const error = errorOf(() => readJournal(archive, record));
      expect([error.code, error.exit]).toEqual(["archive-damaged", 65]);
      archive.close();
    });
});
