import { copyFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { foldJournal } from "../../src/commands/foldJournal.ts";
import { EMPTY_SHEET } from "../../src/core/gauges/sheet.ts";
import { differences } from "../../src/core/verdictDifferences.ts";
import { shortSeal } from "../../src/evidence/seal.ts";
import { chainHead } from "../../src/storage/chainHead.ts";
import { kitChecksOfDay } from "../../src/storage/gaugeLogs.ts";
import { addGauge, listGauges } from "../../src/storage/gauges.ts";
import { closeInterrupted } from "../../src/storage/interrupted.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { openKey } from "../../src/storage/key.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { recordHeadOf } from "../../src/storage/recordHead.ts";
import { findRecord, listRecords } from "../../src/storage/records.ts";
import { reviewsOf } from "../../src/storage/reviews.ts";
import { sealedKitChecks } from "../../src/storage/sealedChecks.ts";
import { standings } from "../../src/storage/standings.ts";
import { temporaryFolder } from "../support/archives.ts";
import { bytesIn, everyKind, sampleEnd, sampleStart, sampleVerdict } from "../support/records.ts";

/**
 * `fixtures/archives/version-1.staunch` was written by the program when archives had version 1: an ended record with every kind of
 * event, and a broken-off one. It is never written anew; every later program must open it. Its people and places are invented.
 */
const version1 = (): string => copyOf("version-1.staunch");

/**
 * `fixtures/archives/version-5.staunch` was written by the program when archives had version 5: a simulated test with all that can be told of a
 * section, sealed, accepted and signed by a second key; and a test killed in the midst. Likewise never written anew, and invented.
 */
const version5 = (): string => copyOf("version-5.staunch");
const MACHINE = "99d4 90d9 d7c4 a5b4 0170 ff59 a7ed 5585";
const WITNESS = "cca9 9a7d 168e 871f 0b11 32c7 35ba b7dc";

function copyOf(name: string): string {
  const path = join(temporaryFolder(), "site.staunch");
  copyFileSync(new URL(`../../fixtures/archives/${name}`, import.meta.url), path);
  return path;
}

describe("an archive of version 1", () => {
  it("is brought up to date and gives back what was written then", () => {
    const archive = openArchive(version1(), { mode: "write" });
    expect(listRecords(archive).map(({ id, verdict, source }) => [id, verdict, source])).toEqual([
      ["20260302-070000-c3d4", null, "simulated"],
      ["20260301-081500-a1b2", "pass", "gauge"],
    ]);
    const ended = findRecord(archive, "20260301-081500-a1b2");
    expect(ended).toMatchObject({ start: sampleStart(), end: sampleEnd(sampleStart()) });
    expect(readJournal(archive, ended.number)).toEqual(everyKind());
    const open = findRecord(archive, "last");
    expect(readJournal(archive, open.number)).toEqual([bytesIn(0, 0), bytesIn(1, 100)]);
    expect(closeInterrupted(archive, 0, (start) => sampleVerdict(start, { verdict: "void" })).closed).toEqual([open.start.id]);
    archive.close();
  });

  it("holds nothing sealed, before and after it is brought up to date; what is closed now is sealed", () => {
    const path = version1();
    const words = (archive: Archive): string[] => [...standings(archive, new Set())].map(({ standing }) => standing.standing);
    const old = openArchive(path, { mode: "read" });
    expect([words(old), chainHead(old)]).toEqual([["unsealed", "unsealed"], null]);
    old.close();
    const archive = openArchive(path, { mode: "write" });
    expect(words(archive)).toEqual(["unsealed", "unsealed"]);
    const sealing = { key: openKey(`${path}.key`), onUnsealed: () => undefined };
    closeInterrupted(archive, 0, (start) => sampleVerdict(start, { verdict: "void" }), sealing);
    expect([words(archive), chainHead(archive)?.number]).toEqual([["unknown-key", "unsealed"], 1]);
    archive.close();
  });

  it("takes gauges once it is up to date, and is read without them before", () => {
    const path = version1();
    const old = openArchive(path, { mode: "read" });
    expect([listRecords(old).length, listGauges(old), kitChecksOfDay(old, "any", "2026-03-01")]).toEqual([2, [], []]);
    old.close();
    const archive = openArchive(path, { mode: "write" });
    addGauge(archive, "Blue box", { url: "keyed://", ...EMPTY_SHEET }, 0);
    expect(listGauges(archive).map(({ name }) => name)).toEqual(["Blue box"]);
    archive.close();
  });
});

describe("an archive of version 5", () => {
  it("is intact to its last sealed byte, and the codes are those that were shown then", () => {
    const archive = openArchive(version5(), { mode: "read" });
    const all = [...standings(archive, new Set([MACHINE, WITNESS]))];
    expect(all.map(({ kind, standing }) => [kind, standing.standing])).toEqual([
      ["record", "intact"],
      ["review", "intact"],
      ["countersign", "intact"],
      ["record", "unsealed"],
    ]);
    expect(all.map(({ found }) => (found === null ? null : shortSeal(found.sealed.seal)))).toEqual([
      "YD97-E6ZR-37Y3-CG9K",
      "PG4N-GJB9-JK8J-182F",
      "BQJ8-7AV2-091D-EVFM",
      null,
    ]);
    archive.close();
  });

  it("gives back what was tested, and judged again from its bytes the same verdict", () => {
    const archive = openArchive(version5(), { mode: "read" });
    const { number, start, end } = findRecord(archive, "x5vh");
    expect(start.asTested).toEqual({
      plugs: "inflatable, braced",
      caps: ["branch at 12 m: screw cap"],
      weather: "overcast, 9 °C",
      witness: "I. Moss (invented)",
    });
    expect(start.gauge).toMatchObject({ name: "blue", serial: "4711", certificate: "C-123", due: "2036-03-01" });
    const head = recordHeadOf(archive, start.id);
    expect(head === null ? null : sealedKitChecks(head)).toMatchObject([{ passed: true, source: "simulated" }]);
    expect(reviewsOf(archive, start.id)).toMatchObject([{ word: "accept", by: "M. Reed (invented)" }]);
    const journal = readJournal(archive, number);
    expect(journal.filter(({ kind }) => kind === "bytes-in").length).toBe(1099);
    expect(end?.verdict).toMatchObject({ verdict: "pass", readings: 1099, source: "simulated", judge_version: 1 });
    if (end === null) throw new Error("it has an end");
    expect(differences(end.verdict, foldJournal(start, journal))).toEqual([]);
    archive.close();
  });

  it("is written on: the broken-off test is closed and sealed on top of what was there", () => {
    const path = version5();
    const archive = openArchive(path, { mode: "write" });
    const key = openKey(`${path}.key`);
    const done = closeInterrupted(archive, 0, foldJournal, { key, onUnsealed: () => undefined });
    expect(done.closed.length).toBe(1);
    const trusted = new Set([MACHINE, WITNESS, key.fingerprint]);
    expect([...standings(archive, trusted)].map(({ standing }) => standing.standing)).toEqual(Array(4).fill("intact"));
    expect(chainHead(archive)?.number).toBe(4);
    archive.close();
  });
});
