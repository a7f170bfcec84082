import { copyFileSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import Database from "better-sqlite3";
import { beforeEach, describe, expect, it } from "vitest";
import { foldJournal } from "../../src/commands/foldJournal.ts";
import { replay } from "../../src/commands/replay.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { handOver } from "../../src/storage/handover.ts";
import { openKey } from "../../src/storage/key.ts";
import { openArchive } from "../../src/storage/open.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { temporaryFolder } from "../support/archives.ts";
import { rejectionOf } from "../support/errors.ts";
import { testIo } from "../support/io.ts";
import { bytesIn, sampleStart } from "../support/records.ts";

/** An archive with one sealed record, a handover of it, and the key that sealed. */
interface Site {
  archive: string;
  handover: string;
  key: string;
  fingerprint: string;
}

const START = sampleStart({ id: "20260101-080000-seal", gauge: { ...sampleStart().gauge, protocol: "line" } });
const LAST_ms = 5000;
const JOURNAL: JournalEvent[] = [
  ...Array.from({ length: 50 }, (_, i) => bytesIn(i, i * 100, "1000.0 Pa\r\n")),
  { seq: 50, at_ms: LAST_ms, wall_ms: START.started_wall_ms + LAST_ms, kind: "end", cause: "user", detail: "" },
];

async function site(sealed = true): Promise<Site> {
  const folder = temporaryFolder();
  const [path, key, handover] = ["site.staunch", "key", "handed.staunch"].map((name) => join(folder, name));
  if (path === undefined || key === undefined || handover === undefined) throw new Error("no place");
  const archive = openArchive(path, { mode: "write" });
  const sealing = sealed ? { key: openKey(key), onUnsealed: () => undefined } : null;
  const writer = createRecord(archive, START, new QueueClock(), sealing);
  for (const event of JOURNAL) writer.append(event);
  await writer.end({ ended_wall_ms: START.started_wall_ms + LAST_ms, verdict: foldJournal(START, JOURNAL) });
  handOver(archive, [START.id], handover, false);
  archive.close();
  return { archive: path, handover, key, fingerprint: openKey(key).fingerprint };
}

let given: Site;
beforeEach(async () => {
  given = await site();
});

const bend = (path: string, sql: string): void => {
  const db = new Database(path);
  db.pragma("foreign_keys = off");
  db.exec(sql);
  db.close();
};

async function played(words: readonly string[], { archive = join("no", "such"), key }: { archive?: string; key?: string } = {}) {
  const io = testIo();
  const options = replay.parse([...words, "--plain"], io);
  if (options === null) throw new Error("only help came");
  const code = await replay.run(options, { io, archive, program: "staunch test", ...(key === undefined ? {} : { key }) });
  return { code, out: io.outText, err: io.errText.join("\n") };
}

const AS_RECORDED = "replay: the verdict is the recorded one, to the last digit";

describe("before anything is played the seal is told", () => {
  it("intact by this machine's key, or by one that is named", async () => {
    const { archive, handover, key, fingerprint } = given;
    for (const [words, place] of [
      [["last"], { archive, key }],
      [["last"], { archive: handover, key }],
      [[handover], { key }],
      [[handover, "--trust", fingerprint], {}],
    ] as const) {
      const { out, code } = await played(words, place);
      expect(out[0]).toMatch(/^seal: intact \(number 1, code \S/);
      expect(out.at(-1)).toBe(AS_RECORDED);
      expect(code).toBe(2);
    }
  });

  it("whole but of a key nobody here trusts", async () => {
    const { out } = await played([given.handover]);
    expect(out[0]).toContain("its key is none of those trusted here");
    expect(out[0]).toContain(`--trust "${given.fingerprint}"`);
  });

  it("none", async () => {
    const { archive } = await site(false);
    expect((await played(["last"], { archive })).out[0]).toBe("seal: none, it ended without one");
  });

  it.each([
    ["a start", "update records set start = json_set(start, '$.section.laid_length_m', 9)", "what was known before the test"],
    ["a figure of the verdict", "update ends set verdict = json_set(verdict, '$.readings', 7)", "verdict in the list"],
    ["a signature", "update seals set signature = zeroblob(64)", "the signature"],
  ])("altered in %s: said first, and exit 1", async (_what, sql, said) => {
    const { handover, key } = given;
    bend(handover, sql);
    const { out, err, code } = await played([handover], { key });
    expect(out[0]).toContain("seal: ALTERED, ");
    expect(out[0]).toContain(said);
    expect(err).toContain("the record is not as it was sealed");
    expect(code).toBe(1);
  });

  it("a journal that was altered is not played", async () => {
    const { handover, key } = given;
    const db = new Database(handover);
    const bytes = db.prepare<[], Buffer>("select bytes from blocks").pluck().get() ?? Buffer.alloc(0);
    bytes.writeUInt8(bytes.readUInt8(10) ^ 1, 10);
    db.prepare("update blocks set bytes = ?").run(bytes);
    db.close();
    const error = await rejectionOf(played([handover], { key }));
    expect(error).toMatchObject({ code: "record-altered", exit: 1 });
    expect(error.message).toContain("block 1 of the journal is not the one that was sealed");
  });
});

describe("a file from elsewhere is hostile until proven", () => {
  it.each([
    ["a trigger", "create trigger t after insert on records begin delete from seals; end", "handover-refused"],
    ["a view", "create view v as select * from records", "handover-refused"],
    ["a verdict of megabytes", `update ends set verdict = hex(zeroblob(${2 ** 20}))`, "handover-refused"],
    ["an event before all time", "update records set started_wall_ms = -9e15", "handover-refused"],
    ["rows that belong to none", "update ends set record = 77", "handover-refused"],
  ])("%s: refused by name and as --archive", async (_what, sql, code) => {
    bend(given.handover, sql);
    const bytes = readFileSync(given.handover);
    for (const [words, place] of [
      [[given.handover], {}],
      [["last"], { archive: given.handover }],
    ] as const) {
      expect(await rejectionOf(played(words, place))).toMatchObject({ code, exit: 65 });
    }
    expect(readFileSync(given.handover).equals(bytes)).toBe(true);
  });

  it("an archive of another machine, write-ahead log and all, is read without a trace beside it", async () => {
    const folder = temporaryFolder();
    const path = join(folder, "theirs.staunch");
    copyFileSync(given.archive, path);
    const bytes = readFileSync(path);
    const { out } = await played([path], { key: given.key });
    expect(out.at(-1)).toBe(AS_RECORDED);
    expect(readdirSync(folder)).toEqual([basename(path)]);
    expect(readFileSync(path).equals(bytes)).toBe(true);
  });

  it.each([
    ["nothing", "", "not-an-archive"],
    ["text", "time_s,pressure_Pa\n0,0\n", "not-an-archive"],
  ])("%s by that name", async (_what, text, code) => {
    const path = join(dirname(given.handover), "text.staunch");
    writeFileSync(path, text);
    expect(await rejectionOf(played([path]))).toMatchObject({ code, exit: 65 });
    expect(await rejectionOf(played([join(dirname(path), "none.staunch")]))).toMatchObject({ code: "archive-missing" });
  });
});
