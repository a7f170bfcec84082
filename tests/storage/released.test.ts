import { copyFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { EMPTY_SHEET } from "../../src/core/gauges/sheet.ts";
import { chainHead } from "../../src/storage/chainHead.ts";
import { kitChecksOfDay } from "../../src/storage/gaugeLogs.ts";
import { addGauge, listGauges } from "../../src/storage/gauges.ts";
import { closeInterrupted } from "../../src/storage/interrupted.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { openKey } from "../../src/storage/key.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { findRecord, listRecords } from "../../src/storage/records.ts";
import { standings } from "../../src/storage/standings.ts";
import { temporaryFolder } from "../support/archives.ts";
import { bytesIn, everyKind, sampleEnd, sampleStart, sampleVerdict } from "../support/records.ts";

/**
 * `fixtures/archives/version-1.staunch` was written by the program when archives had version 1: an ended record with every kind of
 * event, and a broken-off one. It is never written anew; every later program must open it. Its people and places are invented.
 */
function version1(): string {
  const path = join(temporaryFolder(), "site.staunch");
  copyFileSync(new URL("../../fixtures/archives/version-1.staunch", import.meta.url), path);
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
