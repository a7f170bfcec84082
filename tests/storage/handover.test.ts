import { chmodSync, existsSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { describe, expect, it } from "vitest";
import { EMPTY_SHEET } from "../../src/core/gauges/sheet.ts";
import { countersign } from "../../src/storage/countersign.ts";
import { addKitCheck, kitChecksOfDay } from "../../src/storage/gaugeLogs.ts";
import { addGauge, findGauge, listGauges } from "../../src/storage/gauges.ts";
import { handOver } from "../../src/storage/handover.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { findRecord, listRecords } from "../../src/storage/records.ts";
import { appendReview, reviewsOf } from "../../src/storage/reviews.ts";
import { standings } from "../../src/storage/standings.ts";
import { temporaryFolder, withoutPrivilege } from "../support/archives.ts";
import { errorOf } from "../support/errors.ts";
import { bend } from "../support/merging.ts";
import { everyKind, sampleEnd, sampleStart } from "../support/records.ts";
import { sealedBench, sealedRecord } from "../support/sealed.ts";

const place = (): string => join(temporaryFolder(), "out.staunch");

describe("a handover", () => {
  it("is an archive of its own with the records asked for, sealed as they were, and no others", async () => {
    const b = sealedBench();
    for (const id of ["one", "two", "three"]) await sealedRecord(b, id);
    appendReview(b.archive, b.key, "two", { word: "accept", by: "S. Visor", reason: "", wall_ms: 1 });
    countersign(b.archive, b.key, { record: "two", by: "W. Witness", wall_ms: 2 });
    const out = place();
    const done = handOver(b.archive, ["two"], out, false);
    expect(done).toMatchObject({ records: 1, besides: 2, unsealed: [], altered: [], bytes: statSync(out).size });
    const given = openArchive(out, { mode: "read" });
    expect(given.id).toBe(done.id);
    expect(given.id).not.toBe(b.archive.id);
    expect(listRecords(given).map(({ id }) => id)).toEqual(["two"]);
    expect(readJournal(given, findRecord(given, "two").number)).toEqual(everyKind());
    expect(reviewsOf(given, "two")).toMatchObject([{ word: "accept", intact: true }]);
    expect([...standings(given, new Set([b.key.fingerprint]))].map((one) => [one.standing.standing, one.found?.sealed.chain])).toEqual(
      [1, 2, 3].map(() => ["intact", b.archive.id]),
    );
    given.close();
    b.archive.close();
  });

  it("takes along what is on file of the gauges of its records, and nothing of others", async () => {
    const b = sealedBench();
    const day = { day: "2026-03-01", pressure_Pa: 1000, duration_s: 60, drop_Pa: 2, u_drop_Pa: 1, allowed_Pa: 10, passed: true };
    for (const name of ["Blue box", "Red box"]) {
      addGauge(b.archive, name, { ...EMPTY_SHEET, url: "keyed://" }, 0);
      addKitCheck(b.archive, findGauge(b.archive, name)?.number ?? 0, { ...day, wall_ms: 5, source: "gauge", note: null });
    }
    await sealedRecord(b, "one", everyKind(), { gauge: { ...sampleStart().gauge, name: "blue  BOX" } });
    const out = place();
    handOver(b.archive, ["one"], out, false);
    const given = openArchive(out, { mode: "read" });
    expect(listGauges(given).map(({ name }) => name)).toEqual(["Blue box"]);
    expect(kitChecksOfDay(given, "blue box", "2026-03-01")).toMatchObject([{ drop_Pa: 2, passed: true }]);
    given.close();
    b.archive.close();
  });

  it("opens on media that cannot be written, in rollback-journal mode, and is small", async () => {
    const b = sealedBench();
    await sealedRecord(b, "one");
    const out = place();
    handOver(b.archive, ["one"], out, false);
    expect(statSync(out).size).toBeLessThan(64 * 1024);
    // File format §1.3: write and read version 1.
    expect([...readFileSync(out).subarray(18, 20)]).toEqual([1, 1]);
    chmodSync(out, 0o444);
    chmodSync(dirname(out), 0o555);
    withoutPrivilege(() => {
      const given = openArchive(out, { mode: "read" });
      expect(listRecords(given).length).toBe(1);
      given.close();
    });
    expect(readdirSync(dirname(out))).toEqual(["out.staunch"]);
    b.archive.close();
  });

  it("says which records carry no seal and which were altered", async () => {
    const b = sealedBench();
    await sealedRecord(b, "bent");
    const ended = sampleStart({ id: "ended" });
    insertEnd(b.archive.db, insertStart(b.archive.db, ended), sampleEnd(ended));
    insertStart(b.archive.db, sampleStart({ id: "open" }));
    b.archive.db.exec("update records set stage = 'covered' where id = 'bent'");
    const done = handOver(b.archive, ["bent", "ended", "open"], place(), false);
    expect(done.unsealed).toEqual([
      { id: "ended", open: false },
      { id: "open", open: true },
    ]);
    expect(done.altered).toEqual([{ id: "bent", what: "stage in the list of records is not the sealed one" }]);
    b.archive.close();
  });

  it("is never put in the place of a file that is there, nor of its own archive; with force it is", async () => {
    const b = sealedBench();
    await sealedRecord(b, "one");
    const out = place();
    writeFileSync(out, "a letter");
    expect(errorOf(() => handOver(b.archive, ["one"], out, false))).toMatchObject({ code: "file-exists", exit: 64 });
    expect(errorOf(() => handOver(b.archive, ["one"], b.archive.path, true))).toMatchObject({ code: "same-file", exit: 64 });
    expect(readFileSync(out, "utf8")).toBe("a letter");
    handOver(b.archive, ["one"], out, true);
    expect(readdirSync(dirname(out))).toEqual(["out.staunch"]);
    writeFileSync(`${out}-wal`, "held");
    expect(errorOf(() => handOver(b.archive, ["one"], out, true))).toMatchObject({ code: "file-in-use", exit: 65 });
    b.archive.close();
  });

  it("that breaks off leaves nothing behind", async () => {
    const b = sealedBench();
    await sealedRecord(b, "one");
    bend(b.archive.path, "drop table gauges");
    const out = place();
    expect(() => handOver(b.archive, ["one"], out, false)).toThrow();
    expect(existsSync(out)).toBe(false);
    expect(readdirSync(dirname(out))).toEqual([]);
    b.archive.close();
  });

  it("into a folder that cannot be written is 74", async () => {
    const b = sealedBench();
    await sealedRecord(b, "one");
    const folder = temporaryFolder();
    chmodSync(folder, 0o555);
    const error = withoutPrivilege(() => errorOf(() => handOver(b.archive, ["one"], join(folder, "out.staunch"), false)));
    expect(error).toMatchObject({ code: "archive-read-only", exit: 74 });
    b.archive.close();
  });
});
