import { createPrivateKey } from "node:crypto";
import { join } from "node:path";
import { deflateRawSync } from "node:zlib";
import Database from "better-sqlite3";
import { beforeEach, describe, expect, it } from "vitest";
import { fingerprintOf, hashOf, newKey, sealOf, signSeal } from "../../src/evidence/seal.ts";
import { handOver } from "../../src/storage/handover.ts";
import { appendEntry } from "../../src/storage/sealing.ts";
import { temporaryFolder } from "../support/archives.ts";
import { bend, office, take } from "../support/merging.ts";
import { sampleEnd, sampleStart } from "../support/records.ts";
import { sealedBench, sealedRecord } from "../support/sealed.ts";

/** A handover with one good record, made for each test, to be spoilt by it. */
let file = "";
beforeEach(async () => {
  const b = sealedBench();
  await sealedRecord(b, "one");
  file = join(temporaryFolder(), "given.staunch");
  handOver(b.archive, ["one"], file, false);
  b.archive.close();
});

describe("a record is refused by itself when", () => {
  /** A record sealed by a stranger's own key, with what he likes in its head and blocks. */
  function forged(fields: (start: object) => object, blocks: Parameters<typeof appendEntry>[2]["blocks"] = []): void {
    const b = sealedBench();
    const start = sampleStart({ id: "bad" });
    const said = { start, end: sampleEnd(start), ...fields(start) };
    const { db } = b.archive;
    const texts = [JSON.stringify(said.start), JSON.stringify(said.end.verdict)];
    db.prepare("insert into records values (1, 'bad', ?, 'gauge', ?, 'laid', 'sample-100mm', ?)").run(
      start.started_wall_ms,
      start.section.id,
      texts[0],
    );
    db.prepare("insert into ends values (1, ?, 'pass', ?)").run(said.end.ended_wall_ms, texts[1]);
    appendEntry(b.archive, b.key, { kind: "record", subject: "bad", attempt: 1, sealed_wall_ms: 0, fields: said, blocks });
    file = join(temporaryFolder(), "forged.staunch");
    handOver(b.archive, ["bad"], file, false);
    b.archive.close();
  }
  const refused = (): unknown => {
    const into = office();
    const { refused, taken } = take(into, file, { takeAltered: false });
    expect(taken).toBe(0);
    into.close();
    return refused;
  };
  const block = (bytes: Uint8Array, unpacked: number, events = 1) => ({ bytes, hash: hashOf(bytes), events, unpacked });

  it("a block unpacks to more than it claims: a bomb", () => {
    const bomb = new Uint8Array(deflateRawSync(Buffer.alloc(200 * 1024 * 1024), { level: 9 }));
    expect(bomb.length).toBeLessThan(400_000);
    forged(() => ({}), [block(bomb, 1000)]);
    expect(refused()).toMatchObject([{ record: "bad", code: "makes-no-sense", reason: expect.stringContaining("more than it claims") }]);
  });

  it("a block claims more than any may", () => {
    const bytes = new Uint8Array(deflateRawSync(Buffer.alloc(64 * 1024 * 1024)));
    forged(() => ({}), [block(bytes, 64 * 1024 * 1024)]);
    expect(refused()).toMatchObject([{ code: "makes-no-sense", reason: "the journal claims to be too large" }]);
  });

  it("it claims more events than memory holds", () => {
    forged(() => ({}), [block(new Uint8Array([3, 0]), 10, 1e9)]);
    expect(refused()).toMatchObject([{ code: "makes-no-sense", reason: "its journal claims too many events" }]);
  });

  it("its block is no journal", () => {
    const bytes = new Uint8Array(deflateRawSync(Buffer.from("not columns")));
    forged(() => ({}), [block(bytes, 11)]);
    expect(refused()).toMatchObject([{ code: "makes-no-sense" }]);
  });

  it("what was sealed is nested deeper than can be written again", () => {
    forged((start) => ({ start: { ...start, extra: "DEEP" } }));
    const db = new Database(file);
    const row = db.prepare<[], { head: Uint8Array; previous: Uint8Array }>("select head, previous from seals").get();
    const text = Buffer.from(row?.head ?? [])
      .toString("utf8")
      .replace('"DEEP"', `${"[".repeat(100_000)}${"]".repeat(100_000)}`);
    const { privatePem, publicDer } = newKey();
    const head = Buffer.from(text.replace(/"key":"[^"]+"/, `"key":"${fingerprintOf(publicDer)}"`), "utf8");
    const seal = sealOf({ previous: new Uint8Array(row?.previous ?? []), head, blockHashes: [] });
    db.prepare("update keys set public = ?").run(publicDer);
    db.prepare("update seals set head = ?, seal = ?, signature = ?").run(head, seal, signSeal(seal, createPrivateKey(privatePem)));
    db.close();
    expect(refused()).toMatchObject([{ record: "bad", code: "makes-no-sense" }]);
  });

  it("its start or verdict lacks a figure", () => {
    forged((start) => ({ start: { ...start, rule: "as I like" } }));
    expect(refused()).toMatchObject([{ code: "altered", reason: "what was sealed is no record" }]);
  });

  it("two sealed entries claim to be it", () => {
    bend(
      file,
      "insert into seals select null, chain, number, kind, subject, attempt, sealed_wall_ms, previous, head, zeroblob(32), signature, key from seals",
    );
    expect(refused()).toMatchObject([{ code: "two-seals" }]);
  });

  it("its row is gone or another's", () => {
    bend(file, "delete from ends; delete from records");
    expect(refused()).toMatchObject([{ record: "one", code: "altered", reason: "its row in the list of records is gone" }]);
  });

  it("without a seal its texts are none of ours", () => {
    bend(file, "delete from blocks; delete from seals; update ends set verdict = '{}'");
    expect(refused()).toMatchObject([{ record: "one", code: "makes-no-sense", reason: "its verdict cannot be read" }]);
    bend(file, "update records set start = 'null'");
    expect(refused()).toMatchObject([{ code: "makes-no-sense", reason: "what was known before the test cannot be read" }]);
  });

  it("without a seal its journal is none of ours", () => {
    bend(file, "delete from blocks; delete from seals; insert into journal values (1, 0, 0, 0, 'run', '{\"command\":\"x\"}')");
    expect(refused()).toMatchObject([{ record: "one", code: "makes-no-sense" }]);
  });
});
