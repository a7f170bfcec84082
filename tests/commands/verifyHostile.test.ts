/** An inspector is handed an archive by somebody who had it in his hands and no key of the crew's. Whatever was done to it, `verify` must say so. */
import { createPrivateKey } from "node:crypto";
import { readdirSync } from "node:fs";
import { dirname, join } from "node:path";
import { deflateRawSync } from "node:zlib";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { fingerprintOf, hashOf, newKey, sealOf, signSeal } from "../../src/evidence/seal.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { appender } from "../../src/storage/journal.ts";
import { openKey } from "../../src/storage/key.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { appendReview } from "../../src/storage/reviews.ts";
import { appendEntry } from "../../src/storage/sealing.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { temporaryFolder } from "../support/archives.ts";
import { rejectionOf } from "../support/errors.ts";
import { bend } from "../support/merging.ts";
import { bytesIn, sampleEnd, sampleStart } from "../support/records.ts";
import { run, type Site, site } from "../support/verifying.ts";

function change(here: Site, action: (archive: Archive) => void): void {
  const archive = openArchive(here.path, { mode: "write" });
  action(archive);
  archive.close();
}

const stranger = () => openKey(join(temporaryFolder(), "stranger.pem"));
const line = sampleStart({ gauge: { ...sampleStart().gauge, protocol: "line" } });

/** A sealed entry by a stranger's own key. */
const forge = (here: Site, id: string, fields: object, blocks: Parameters<typeof appendEntry>[2]["blocks"] = []): void =>
  change(here, (archive) => {
    const entry = { kind: "record", subject: id, attempt: null, sealed_wall_ms: 0, fields: { ...fields }, blocks } as const;
    archive.db.transaction(() => appendEntry(archive, stranger(), entry))();
  });

/** Changes the text of a schema, as only a hand can. */
const rewriteSchema = (path: string, sql: string): void => bend(path, `pragma writable_schema = on; ${sql}; pragma writable_schema = off`);

describe("the file", () => {
  it("in which an index hides a record from one question and not from the next is not sound", async () => {
    const here = await site(["one", "two"]);
    const db = new Database(here.path, { readonly: true });
    const row = Object(db.prepare("select * from sqlite_schema where name = 'seals_by_subject'").get());
    db.close();
    rewriteSchema(here.path, "delete from sqlite_schema where name = 'seals_by_subject'");
    bend(here.path, "update seals set subject = 'elsewhere' where entry = 2");
    const values = ["type", "name", "tbl_name", "rootpage", "sql"].map((name) => `'${Reflect.get(row, name)}'`);
    rewriteSchema(here.path, `insert into sqlite_schema values (${values.join(", ")})`);
    const { exit, out } = await run(here);
    expect(out).toContain("! The file is not sound: its pages are not whole: ");
    expect(exit).toBe(1);
  });

  it("with a trigger, under whatever name, is none of ours", async () => {
    const here = await site(["one"]);
    bend(here.path, "create trigger t after insert on ends begin update ends set word = 'pass'; end");
    expect(await rejectionOf(run(here))).toMatchObject({ code: "not-an-archive", exit: 65 });
    rewriteSchema(
      here.path,
      "update sqlite_schema set name = 'sqlite_t', sql = replace(sql, 'trigger t', 'trigger sqlite_t') where name = 't'",
    );
    expect(await rejectionOf(run(here))).toMatchObject({ code: "archive-damaged", exit: 65 });
  });

  it("handed over is refused as a merge would refuse it, and one with a log is read without a trace beside it", async () => {
    const here = await site(["one"]);
    const inspector = { ...here, path: join(temporaryFolder(), "none.staunch") };
    const beside = readdirSync(dirname(here.path));
    expect((await run(inspector, { words: [here.path] })).out).toContain("one  intact");
    expect(readdirSync(dirname(here.path))).toEqual(beside);
    bend(here.path, "update seals set head = zeroblob(5000000)");
    expect(await rejectionOf(run(inspector, { words: [here.path] }))).toMatchObject({ code: "handover-refused", exit: 65 });
  });

  it("with the statistics that ANALYZE leaves is sound", async () => {
    const here = await site(["one"]);
    bend(here.path, "analyze");
    expect(await run(here)).toMatchObject({ exit: 0, out: expect.not.stringContaining("sound") });
  });
});

describe("a record", () => {
  it("to whose id another's seal was moved is named beside the one it was taken from", async () => {
    const here = await site(["one"]);
    change(here, ({ db }) => {
      const start = { ...line, id: "better" };
      insertEnd(db, insertStart(db, start), sampleEnd(start));
    });
    bend(here.path, "update seals set subject = 'better'");
    const { exit, out } = await run(here);
    expect(out).toContain("one  ALTERED");
    expect(out).toContain("  the record it is about, as kept for lists, is not what was sealed");
    expect(out).toContain("better  unsealed");
    expect(exit).toBe(1);
  });

  it("that two seals claim is altered in both, though each fits", async () => {
    const here = await site(["one"]);
    const db = new Database(here.path);
    const [start, verdict, ended_wall_ms] = ["start from records", "verdict from ends", "ended_wall_ms from ends"].map((sql) =>
      db.prepare<[], string>(`select ${sql}`).pluck().get(),
    );
    db.close();
    const end = { ended_wall_ms, verdict: JSON.parse(verdict ?? "") };
    forge(here, "one", { start: JSON.parse(start ?? ""), end });
    const { exit, out } = await run(here, { trust: [here.own] });
    expect(out.match(/one {2}ALTERED/g)?.length).toBe(2);
    expect(out).toContain("  more than one sealed entry claims to be this record");
    expect(exit).toBe(1);
  });

  it.each([
    ["source", "update records set source = 'gauge'", "source in the list of records is not that of the record"],
    ["section", "update records set section = 'S9'", "section in the list of records is not that of the record"],
    ["date", "update records set started_wall_ms = started_wall_ms + 86400000", "the start time in the list of records is not that of"],
    ["word", "update ends set word = 'pass'", "the verdict's word in the list of records is not that of the record"],
    ["verdict's source", "update ends set verdict = replace(verdict, '\"simulated\"', '\"gauge\"')", "another source than its start"],
    ["start", "update records set start = replace(start, '\"simple\"', '\"mine\"')", "what was known before the test cannot be read"],
  ])("without a seal whose %s contradicts its own rows is altered", async (_, sql, what) => {
    const here = await site([]);
    change(here, ({ db }) => {
      const start = { ...line, id: "bare", source: "simulated" as const };
      insertEnd(db, insertStart(db, start), sampleEnd(start, { verdict: "fail" }));
    });
    expect(await run(here)).toMatchObject({ exit: 2, out: expect.stringContaining("bare  unsealed") });
    bend(here.path, sql);
    const { exit, out } = await run(here);
    expect(out).toContain("bare  ALTERED");
    expect(out).toContain(what);
    expect(exit).toBe(1);
  });

  it("without a seal is judged again too, and its forged verdict found", async () => {
    const here = await site([]);
    change(here, ({ db }) => {
      const start = { ...line, id: "bare" };
      const number = insertStart(db, start);
      appender(db)(number, [bytesIn(0, 0, "1000.0 Pa\r\n")]);
      insertEnd(db, number, sampleEnd(start));
    });
    const { exit, out } = await run(here, { deep: true });
    expect(out).toContain("bare  ALTERED");
    expect(out).toContain("the verdict is not what its journal gives: verdict");
    expect(exit).toBe(1);
  });

  it("whose start can no longer be read can still be asked for by its id", async () => {
    const here = await site(["one", "two"]);
    bend(here.path, "update records set start = '[' where id = 'one'");
    const { exit, out } = await run(here, { words: ["one"] });
    expect(out).toContain("  what was known before the test in the list of records is not the sealed one");
    expect(exit).toBe(1);
  });

  it("sealed by a stranger and nested deeper than can be read stops nobody from looking at the rest", async () => {
    const here = await site(["one"]);
    const start = { ...line, id: "deep" };
    change(here, ({ db }) => insertEnd(db, insertStart(db, start), sampleEnd(start)));
    let nested: object = {};
    for (let depth = 0; depth < 1000; depth++) nested = { nested };
    forge(here, "deep", { start: { ...start, nested }, end: sampleEnd(start) });
    const text = `${"[".repeat(100_000)}${"]".repeat(100_000)}`;
    const { privatePem, publicDer } = newKey();
    const db = new Database(here.path);
    const row = db.prepare<[], { head: Uint8Array; previous: Uint8Array }>("select head, previous from seals where entry = 2").get();
    const head = Buffer.from(
      Buffer.from(row?.head ?? [])
        .toString("utf8")
        .replace(JSON.stringify(nested), text)
        .replace(/"key":"[^"]+"/, `"key":"${fingerprintOf(publicDer)}"`),
    );
    const seal = sealOf({ previous: new Uint8Array(row?.previous ?? []), head, blockHashes: [] });
    db.prepare("update keys set public = ? where number = 2").run(publicDer);
    db.prepare("update seals set head = ?, seal = ?, signature = ? where entry = 2").run(
      head,
      seal,
      signSeal(seal, createPrivateKey(privatePem)),
    );
    db.close();
    const { exit, out } = await run(here, { deep: true });
    expect(out).toContain("one  intact");
    expect(out).toContain("deep  ALTERED");
    expect(out).toContain("  it is nested deeper than can be read");
    expect(exit).toBe(1);
  });

  it("sealed by a stranger with blocks that are no journal is named by --deep, and the rest judged", async () => {
    const here = await site(["one"]);
    const start = { ...line, id: "junk" };
    change(here, ({ db }) => insertEnd(db, insertStart(db, start), sampleEnd(start)));
    const bytes = new Uint8Array(deflateRawSync(Buffer.alloc(200_000_000)));
    forge(here, "junk", { start, end: sampleEnd(start) }, [{ bytes, hash: hashOf(bytes), events: 1, unpacked: 1000 }]);
    const { exit, out } = await run(here, { deep: true });
    expect(out).toContain("one  intact");
    expect(out).toContain("judged again: the same verdict");
    expect(out).toMatch(/junk {2}ALTERED.*\n {2}its journal cannot be read: /);
    expect(exit).toBe(1);
  });
});

describe("a review", () => {
  const accepted = async (): Promise<Site> => {
    const here = await site(["one", "two"]);
    change(here, (archive) => appendReview(archive, openKey(here.key), "one", { word: "accept", by: "S. Visor", reason: "", wall_ms: 0 }));
    return here;
  };

  it("left standing beside a record whose seal was taken away does not hold for it", async () => {
    const here = await accepted();
    bend(here.path, "delete from blocks where entry = 1; delete from seals where entry = 1");
    const { exit, out } = await run(here);
    expect(out).toContain("one  ALTERED  review (accept) by S. Visor");
    expect(out).toContain("one  unsealed");
    expect(exit).toBe(1);
  });

  it("of a record that was left out when this was cut out stands", async () => {
    const here = await accepted();
    bend(
      here.path,
      "delete from blocks where entry = 1; delete from seals where entry = 1; delete from ends where record = 1; delete from records where number = 1",
    );
    expect((await run(here)).out).toContain("one  intact  review (accept) by S. Visor");
  });

  it("said of a record before it had a seal is no fault, and proves nothing", async () => {
    const here = await site(["one"]);
    change(here, (archive) => {
      const review = { word: "accept", by: "S. Visor", reason: "", wall_ms: 0 };
      const fields = { by: "S. Visor", signs: { record: "one", seal: "unsealed" }, review };
      const entry = { kind: "review", subject: "one", attempt: null, sealed_wall_ms: 0, fields, blocks: [] } as const;
      archive.db.transaction(() => appendEntry(archive, openKey(here.key), entry))();
    });
    const { exit, out } = await run(here);
    expect(out).toContain("one  unsealed  review (accept) by S. Visor");
    expect(out).toContain("  it was said while its record had no seal");
    expect(exit).toBe(2);
  });
});

describe("attempts", () => {
  it("of a real gauge, killed and their rows thrown away, are told at once and for good", async () => {
    const here = await site(["one"]);
    change(here, (archive) => {
      const writer = createRecord(archive, { ...line, id: "killed" }, new QueueClock(), { key: openKey(here.key), onUnsealed: String });
      writer.append(bytesIn(0, 0));
    });
    // Broken off: it lies open, nothing is missing yet.
    expect((await run(here)).out).not.toContain("left no record");
    bend(here.path, "delete from attempts; delete from journal; delete from records where id = 'killed'");
    const told = "! 1 attempt after number 1 of this archive's chain left no record here: thrown away, or kept in another archive.";
    expect((await run(here)).out).toContain(told);
    await site(["two"], {}, here);
    const elsewhere = await run({ ...here, key: join(temporaryFolder(), "none.pem") }, { trust: [here.own] });
    expect(elsewhere.out).toContain(told);
  });

  it("and records cut off the end no longer fit what a witness wrote down", async () => {
    const here = await site(["one", "two", "three"]);
    const noted = JSON.parse((await run(here, { day: true, json: true })).out);
    for (const table of ["blocks where entry", "seals where entry", "ends where record", "records where number"])
      bend(here.path, `delete from ${table} > 1`);
    const now = JSON.parse((await run(here, { day: true, json: true })).out);
    expect([noted.number, now.number, noted.attempts, now.attempts]).toEqual([3, 1, 3, 3]);
    expect(now.code).not.toBe(noted.code);
    const { out } = await run(here);
    expect(out).not.toContain(noted.code);
    expect(out).toContain("! 2 attempts after number 1 of this archive's chain left no record here");
  });

  it("begun since the last record and thrown away are told on the machine that counts them", async () => {
    const here = await site(["one"]);
    openKey(here.key).beginAttempt();
    const { exit, out } = await run(here);
    expect(out).toContain(
      "! 1 attempt after number 1 of this archive's chain left no record here: thrown away, or kept in another archive.",
    );
    expect(exit).toBe(0);
    const elsewhere = { ...here, key: join(temporaryFolder(), "other.pem") };
    openKey(elsewhere.key);
    expect((await run(elsewhere, { trust: [here.own] })).out).not.toContain("attempt");
  });
});
