import { rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { type VerifyOptions, verify } from "../../src/commands/verify.ts";
import type { VerifyReport } from "../../src/commands/verifyArchive.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { findKey, openKey } from "../../src/storage/key.ts";
import { openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { appendReview } from "../../src/storage/reviews.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { temporaryFolder } from "../support/archives.ts";
import { rejectionOf } from "../support/errors.ts";
import { testIo } from "../support/io.ts";
import { bend } from "../support/merging.ts";
import { bytesIn, sampleEnd, sampleStart } from "../support/records.ts";
import { run, site } from "../support/verifying.ts";

const parsed = (words: readonly string[]) => verify.parse(words, testIo());

describe("verify", () => {
  it("says of each record that it is intact, with what a witness may hold against a notebook: exit 0", async () => {
    const here = await site(["one", "two"]);
    const { exit, out } = await run(here);
    expect(out.split("\n")).toEqual([
      expect.stringMatching(/^one {2}intact {2}VOID Elderbrook S3-S4, laid, 2026-03-01 {2}number 1, code [0-9A-Z]{4}(-[0-9A-Z]{4}){3}$/),
      expect.stringMatching(/^two {2}intact {2}VOID Elderbrook S3-S4, laid, 2026-03-01 {2}number 2, code /),
      `Key ${here.own} sealed 2 records.`,
      "2 intact.",
    ]);
    expect(exit).toBe(0);
  });

  it("says of a record what was sealed, and that one without a real gauge proves no section", async () => {
    const here = await site(["one"], { source: "simulated", stage: "covered" });
    expect((await run(here)).out).toContain("one  intact  VOID Elderbrook S3-S4, covered, 2026-03-01, SIMULATED  number 1");
    const { entries }: VerifyReport = JSON.parse((await run(here, { json: true })).out);
    const says = {
      verdict: "void",
      section: "Elderbrook S3-S4",
      stage: "covered",
      source: "simulated",
      started_wall_ms: expect.any(Number),
    };
    expect(entries).toMatchObject([{ says }]);
    bend(here.path, "update records set source = 'gauge'");
    expect((await run(here)).out).toMatch(
      /^one {2}ALTERED {2}number 1, code \S+\n {2}source in the list of records is not the sealed one\n/,
    );
  });

  it("names what was altered and the first block that differs: exit 1", async () => {
    const here = await site(["one", "two"]);
    bend(
      here.path,
      "update ends set word = 'pass' where record = 1; update blocks set bytes = cast(x'00' || bytes as blob) where entry = 2",
    );
    const { exit, out } = await run(here);
    expect(out).toContain("one  ALTERED");
    expect(out).toContain("  the verdict's word in the list of records is not the sealed one");
    expect(out).toContain("  block 1 of the journal is not the one that was sealed");
    expect(out).toContain("0 intact, 2 altered.");
    expect(exit).toBe(1);
  });

  it("of a key nobody named is 2 and says whose; named by fingerprint or file it is intact", async () => {
    const here = await site(["one"]);
    const elsewhere = { ...here, key: join(temporaryFolder(), "none.pem") };
    const stranger = await run(elsewhere);
    expect(stranger.out).toContain(`Unknown key ${here.own}`);
    expect(stranger.exit).toBe(2);
    expect((await run(elsewhere, { trust: [here.own.replace(/ /g, ":").toUpperCase()] })).exit).toBe(0);
    const shown = (await run(here, { key: true })).out;
    expect((await run(elsewhere, { trust: ["crew.pem"] }, { "crew.pem": shown })).exit).toBe(0);
    const other = (await run({ ...here, key: join(temporaryFolder(), "other.pem") }, { key: true })).out;
    const [fingerprint, ...pem] = other.split("\n");
    // Whoever compares the fingerprint by eye must not trust another key by it.
    for (const forged of [[shown.split("\n")[0], ...pem].join("\n"), `${shown}\n${pem.join("\n")}`, `${shown}\n${fingerprint}`])
      expect(await rejectionOf(run(elsewhere, { trust: ["crew.pem"] }, { "crew.pem": forged }))).toMatchObject({
        code: "key-contradicts",
        exit: 65,
      });
    const error = await rejectionOf(run(elsewhere, { trust: ["crew.pem"] }, { "crew.pem": "hello" }));
    expect(error).toMatchObject({ code: "key-unreadable", exit: 65 });
  });

  it("a record without a seal is 2", async () => {
    const here = await site([]);
    const archive = openArchive(here.path, { mode: "write" });
    const start = sampleStart({ id: "bare" });
    insertEnd(archive.db, insertStart(archive.db, start), sampleEnd(start));
    insertStart(archive.db, sampleStart({ id: "open" }));
    archive.close();
    const { exit, out } = await run(here);
    expect(out).toBe("bare  unsealed\n  it ended without a seal\nopen  unsealed\n  it has no end yet\n0 intact, 2 unsealed.");
    expect(exit).toBe(2);
  });

  it("looks at one record alone, by file and id", async () => {
    const here = await site(["one", "two"]);
    expect((await run(here, { words: ["two"] })).out).toMatch(
      /^two {2}intact.*\nKey .* sealed 1 record\.\n1 intact\. The chain was not looked at\.$/,
    );
    expect((await run({ ...here, path: "nowhere" }, { words: [here.path, "one"] })).out).toMatch(/^one {2}intact/);
    expect(await rejectionOf(run(here, { words: ["./missing.staunch"] }))).toMatchObject({ code: "archive-missing", exit: 65 });
  });
});

describe("verify looks at the chain", () => {
  it("a record deleted from the archive's own chain is 1", async () => {
    const here = await site(["one", "two", "three"]);
    bend(
      here.path,
      "delete from blocks where entry = 2; delete from seals where entry = 2; delete from ends where record = 2; delete from records where number = 2",
    );
    const { exit, out } = await run(here);
    expect(out).toContain("! Number 2 of this archive's chain is not included: taken out or deleted.");
    expect(exit).toBe(1);
  });

  it("one cut out of a chain from elsewhere is told and no fault", async () => {
    const here = await site(["one", "two", "three"]);
    bend(
      here.path,
      "delete from blocks where entry < 3; delete from seals where entry < 3; delete from ends where record < 3; delete from records where number < 3; update archive set id = 'another'",
    );
    const { exit, out } = await run(here);
    expect(out).toMatch(/! Numbers 1 to 2 of chain [0-9a-f]{7,8}…? ?.*not included: left out when this was cut out, or deleted\./);
    expect(exit).toBe(0);
  });

  it("tells attempts that left no record, and a counter set back", async () => {
    const here = await site(["one"]);
    const key = findKey(here.key);
    key?.beginAttempt();
    key?.beginAttempt();
    const archive = openArchive(here.path, { mode: "write" });
    const next = async (id: string): Promise<void> => {
      const start = sampleStart({ id });
      await createRecord(archive, start, new QueueClock(), { key: openKey(here.key), onUnsealed: () => undefined }).end(sampleEnd(start));
    };
    await next("two");
    rmSync(`${here.key}.attempts`);
    await next("three");
    archive.close();
    const { exit, out } = await run(here);
    expect(out).toContain(
      "! 2 attempts after number 1 of this archive's chain left no record here: thrown away, or kept in another archive.",
    );
    expect(out).toContain("! The counter of attempts stood lower at number 3 of this archive's chain than before: attempts may be hidden.");
    expect(exit).toBe(2);
  });

  it("two copies that went on apart are forked: 1", async () => {
    const here = await site(["one", "two"]);
    bend(
      here.path,
      "insert into seals (chain, number, kind, subject, sealed_wall_ms, previous, head, seal, signature, key) select chain, number, kind, subject, sealed_wall_ms, previous, head, zeroblob(32), signature, key from seals where entry = 2",
    );
    const { exit, out } = await run(here);
    expect(out).toContain("! Forked at number 2 of this archive's chain");
    expect(exit).toBe(1);
  });
});

describe("verify --deep", () => {
  it("judges each journal again and finds the same verdict", async () => {
    const here = await site(["one"]);
    const { exit, out } = await run(here, { deep: true });
    expect(out).toContain("judged again: the same verdict");
    expect(exit).toBe(0);
  });

  it("a sealed verdict that is not its journal's is altered, though its seal fits", async () => {
    const here = await site([]);
    const archive = openArchive(here.path, { mode: "write" });
    const start = sampleStart({ id: "forged", gauge: { ...sampleStart().gauge, protocol: "line" } });
    const writer = createRecord(archive, start, new QueueClock(), { key: openKey(here.key), onUnsealed: () => undefined });
    writer.append(bytesIn(0, 0, "1000.0 Pa\r\n"));
    await writer.end(sampleEnd(start));
    archive.close();
    expect((await run(here)).exit).toBe(0);
    const { exit, out } = await run(here, { deep: true });
    expect(out).toContain("the verdict is not what its journal gives: verdict");
    expect(exit).toBe(1);
  });

  it("under other rules of judging it is judged differently now, and not altered", async () => {
    const here = await site([]);
    const archive = openArchive(here.path, { mode: "write" });
    const start = sampleStart({ id: "older", judge_version: 0, gauge: { ...sampleStart().gauge, protocol: "line" } });
    const writer = createRecord(archive, start, new QueueClock(), { key: openKey(here.key), onUnsealed: () => undefined });
    writer.append(bytesIn(0, 0, "1000.0 Pa\r\n"));
    await writer.end(sampleEnd(start));
    archive.close();
    const { exit, out } = await run(here, { deep: true });
    expect(out).toContain("judged differently now (newer rules): verdict");
    expect(exit).toBe(0);
  });
});

describe("verify --countersign, --day, --key, --json", () => {
  it("adds a second signature with another key, which is looked at like every entry", async () => {
    const here = await site(["one", "two"]);
    const keyfile = join(temporaryFolder(), "witness.pem");
    const witness = openKey(keyfile).fingerprint;
    const signed = await run(here, { countersign: "one", by: "W. Witness\u001b[2J", keyfile });
    expect(signed.out).toMatch(/^Signed: record one by W\. Witness, key [0-9a-f ]+; number 3, code /);
    const { exit, out } = await run(here, { trust: [witness] });
    expect(out).toContain("one  intact  countersign by W. Witness  number 3");
    expect(exit).toBe(0);
    expect((await run(here)).exit).toBe(2);
  });

  it("looks at reviews too, and at which record they are about", async () => {
    const here = await site(["one", "two"]);
    const archive = openArchive(here.path, { mode: "write" });
    appendReview(archive, openKey(here.key), "one", { word: "accept", by: "S. Visor", reason: "", wall_ms: 0 });
    archive.close();
    expect((await run(here)).out).toContain("one  intact  review (accept) by S. Visor  number 3");
    bend(here.path, "update seals set seal = zeroblob(32) where entry = 1");
    const { out } = await run(here);
    expect(out).toContain("one  ALTERED  review (accept) by S. Visor");
    expect(out).toContain("  the record it is about is not the one that lies here");
  });

  it("signs nothing that is altered, unsealed or nameless, and with no key that is not there", async () => {
    const here = await site(["one"]);
    const ask = (over: Partial<VerifyOptions>) => rejectionOf(run(here, { countersign: "one", by: "W. Witness", ...over }));
    expect(await ask({ by: " " })).toMatchObject({ code: "by-missing", exit: 64 });
    expect(await ask({ keyfile: "/nowhere/key.pem" })).toMatchObject({ code: "key-missing", exit: 64 });
    bend(here.path, "update records set stage = 'covered'");
    expect(await ask({})).toMatchObject({ code: "record-altered", exit: 65 });
    bend(here.path, "delete from blocks; delete from seals");
    expect(await ask({})).toMatchObject({ code: "not-sealed", exit: 64 });
  });

  it("prints what a witness writes down when the day is over", async () => {
    const today = { started_wall_ms: testIo().clock.wall_ms() };
    const here = await site(["one", "two"], today);
    const { exit, out } = await run(here, { day: true });
    const code = /two {2}intact {2}.* {2}number 2, code (\S+)/.exec((await run(here)).out)?.[1];
    expect(out).toContain(`code      ${code}`);
    expect(out).toContain("number    2");
    expect(out).toContain("records   2 today\n");
    expect(out).toContain("attempts  2 ever begun");
    expect(exit).toBe(0);
    expect(JSON.parse((await run(here, { day: true, json: true })).out)).toMatchObject({
      schema: "staunch/day-end/1",
      number: 2,
      code,
      records: 2,
      attempts: 2,
    });
  });

  it("shows the key, made now when there is none, and never its private part", async () => {
    const here = await site([]);
    const { out } = await run({ ...here, key: join(temporaryFolder(), "new", "private.pem") }, { key: true });
    expect(out).toMatch(/^fingerprint {2}[0-9a-f]{4}( [0-9a-f]{4}){7}\n-----BEGIN PUBLIC KEY-----\n/);
    expect(out).not.toContain("PRIVATE");
  });

  it("is one JSON object", async () => {
    const here = await site(["one"]);
    const report: VerifyReport = JSON.parse((await run(here, { json: true, deep: true })).out);
    expect(report).toMatchObject({
      schema: "staunch/verify/1",
      trusted: [here.own],
      entries: [
        { record: "one", kind: "record", standing: "intact", what: null, block: null, number: 1, attempt: 1, again: { again: "same" } },
      ],
      findings: [],
    });
  });

  it("reads an archive that nothing may be written to", async () => {
    const here = await site(["one"]);
    const copy = join(temporaryFolder(), "copy.staunch");
    const bytes = new Database(here.path).serialize();
    bytes.fill(1, 18, 20);
    writeFileSync(copy, bytes, { mode: 0o444 });
    expect((await run(here, { words: [copy], deep: true })).exit).toBe(0);
  });
});

it("words are taken as they stand", () => {
  expect(parsed(["a.staunch", "last", "--trust", "a", "--trust", "b", "--deep"])).toEqual({
    words: ["a.staunch", "last"],
    trust: ["a", "b"],
    deep: true,
  });
  expect(parsed([])).toEqual({ words: [] });
});
