import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { JournalEvent } from "../../src/core/journal.ts";
import { appender, readJournal } from "../../src/storage/journal.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { packJournal, unpackBlock } from "../../src/storage/pack.ts";
import { insertStart, startOf } from "../../src/storage/recordRows.ts";
import { temporaryFolder } from "../support/archives.ts";
import { errorOf } from "../support/errors.ts";
import { everyKind, sampleStart } from "../support/records.ts";

const opened = (): Archive => openArchive(join(temporaryFolder(), "site.staunch"), { mode: "write" });

/** Every kind of event, every second one of another gauge. */
const mixed = (): JournalEvent[] => everyKind().map((event, i) => (i % 2 === 0 ? event : { ...event, line: 1 + (i % 3) }));

describe("the journal of several gauges on disk", () => {
  it("gives back each event with its line", () => {
    const archive = opened();
    const record = insertStart(archive.db, sampleStart());
    appender(archive.db)(record, mixed());
    expect(readJournal(archive, record)).toEqual(mixed());
    archive.close();
  });

  it("and so does a sealed block", () => {
    const blocks = packJournal(mixed());
    const events = blocks.flatMap((block) =>
      unpackBlock(block.bytes, { sha256: Buffer.from(block.hash).toString("hex"), events: block.events, bytes: block.unpacked }),
    );
    expect(events).toEqual(mixed());
  });

  it.each(["bytes-in@0", "bytes-in@x", "bytes-in@", "bytes-in@-1", "@1", "wake@100"])("%s is damage", (kind) => {
    const archive = opened();
    const record = insertStart(archive.db, sampleStart());
    archive.db.prepare("insert into journal values (?, 0, 0, 0, ?, ?)").run(record, kind, Buffer.from("1"));
    expect(errorOf(() => readJournal(archive, record)).code).toBe("archive-damaged");
    archive.close();
  });
});

describe("a start with several gauges", () => {
  const plain = sampleStart();
  const also = [{ role: "atmosphere" as const, gauge: { ...plain.gauge, url: "serial:///dev/ttyUSB1?protocol=line" } }];
  const start = { ...plain, also };

  it("comes back as it was kept", () => expect(startOf(JSON.stringify(start), start.id)).toEqual(start));

  it.each([null, {}, [{}], [{ role: "moon", gauge: plain.gauge }], [{ role: "atmosphere", gauge: {} }]])(
    "is none of ours with also = %j",
    (bad) => expect(startOf(JSON.stringify({ ...plain, also: bad }), plain.id)).toBeNull(),
  );
});
