import { readdirSync, readFileSync } from "node:fs";
import { dirname } from "node:path";
import { describe, expect, it } from "vitest";
import { EMPTY_SHEET } from "../../src/core/gauges/sheet.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import { countersign } from "../../src/storage/countersign.ts";
import { addKitCheck, kitChecksOfDay } from "../../src/storage/gaugeLogs.ts";
import { addGauge, findGauge } from "../../src/storage/gauges.ts";
import { appender, readJournal } from "../../src/storage/journal.ts";
import type { Archive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { findRecord } from "../../src/storage/records.ts";
import { reviewBook } from "../../src/storage/reviewLines.ts";
import { appendReview, reviewsOf } from "../../src/storage/reviews.ts";
import { contents, crew, given, ids, office, reopened, take } from "../support/merging.ts";
import { everyKind, sampleEnd, sampleStart } from "../support/records.ts";
import { sealedBench, sealedRecord } from "../support/sealed.ts";

const unsealed = (archive: Archive, id: string, journal: readonly JournalEvent[] = []): void => {
  const start = sampleStart({ id });
  const number = insertStart(archive.db, start);
  appender(archive.db)(number, journal);
  insertEnd(archive.db, number, sampleEnd(start));
};

describe("merge", () => {
  it("takes records in with their seals byte for byte, and a second time nothing", async () => {
    const a = await crew("one", "two");
    const into = office();
    expect(take(into, a.path)).toMatchObject({ taken: 2, already: 0, refused: [], keys: { [a.key.fingerprint]: 2 } });
    const before = contents(into);
    reopened(a.path, (from) => expect(contents(from)).toEqual(before));
    expect(take(into, a.path)).toMatchObject({ taken: 0, already: 2, refused: [], keys: {} });
    expect(contents(into)).toEqual(before);
    expect(readJournal(into, findRecord(into, "two").number)).toEqual(everyKind());
    into.close();
  });

  it("gives the same archive in whatever order files come, handovers among them", async () => {
    const [a, b] = [await crew("one", "two", "three"), await crew("four")];
    reopened(a.path, (archive) => appendReview(archive, a.key, "one", { word: "return", by: "S. Visor", reason: "wet", wall_ms: 1 }));
    const files = [a.path, b.path, given(a.path, ["one"]), given(a.path, ["two", "three"])];
    const found = [files, [...files].reverse(), [files[2], files[0], files[3], files[1]]].map((order) => {
      const into = office();
      for (const file of order) take(into, file ?? "");
      const all = contents(into);
      into.close();
      return all;
    });
    expect(found[1]).toEqual(found[0]);
    expect(found[2]).toEqual(found[0]);
  });

  it("adds what others said of a record that is here already, and lists see it", async () => {
    const a = await crew("one");
    const into = office();
    take(into, a.path);
    expect(reviewBook(into, String).size).toBe(1);
    reopened(a.path, (archive) => {
      appendReview(archive, a.key, "one", { word: "accept", by: "S. Visor", reason: "", wall_ms: 1 });
      countersign(archive, a.key, { record: "one", by: "W. Witness", wall_ms: 2 });
    });
    expect(take(into, a.path)).toMatchObject({ taken: 0, already: 1, besides: 2 });
    expect(reviewsOf(into, "one")).toMatchObject([{ word: "accept", intact: true }]);
    into.close();
  });

  it("refuses another record under an id that is here, and names it", async () => {
    const [a, b] = [await crew("one"), await crew("one")];
    const into = office();
    take(into, a.path);
    const before = contents(into);
    expect(take(into, b.path)).toMatchObject({ taken: 0, refused: [{ record: "one", code: "other-seal" }] });
    expect(contents(into)).toEqual(before);
    into.close();
  });

  it("refuses what has no end, and takes what ended without a seal", async () => {
    const a = await crew();
    reopened(a.path, (archive) => {
      unsealed(archive, "bare");
      insertStart(archive.db, sampleStart({ id: "open" }));
    });
    const into = office();
    expect(take(into, a.path)).toMatchObject({ taken: 1, unsealed: 1, refused: [{ record: "open", code: "not-ended" }] });
    expect(take(into, a.path)).toMatchObject({ taken: 0, already: 1 });
    expect(ids(into)).toEqual(["bare"]);
    into.close();
  });

  it("lets a sealed record take the place of the same one without its seal, in either order", async () => {
    const a = await crew("one");
    const bare = await crew();
    reopened(bare.path, (archive) => unsealed(archive, "one", everyKind()));
    const [first, second, other] = [office(), office(), office()];
    take(first, bare.path);
    expect(take(first, a.path)).toMatchObject({ taken: 0, completed: 1, refused: [] });
    take(second, a.path);
    expect(take(second, bare.path)).toMatchObject({ taken: 0, already: 1, refused: [] });
    expect(contents(first)).toEqual(contents(second));
    reopened(bare.path, (archive) => archive.db.exec("delete from journal where seq = 9"));
    take(other, bare.path);
    expect(take(other, a.path)).toMatchObject({ refused: [{ code: "other-seal" }] });
    for (const archive of [first, second, other]) archive.close();
  });

  it("does not touch the file it reads, nor leave anything beside it or the archive", async () => {
    const a = await crew("one");
    const out = given(a.path, ["one"]);
    const into = office();
    for (const file of [a.path, out]) {
      const [bytes, beside] = [readFileSync(file), readdirSync(dirname(file))];
      take(into, file);
      expect(readFileSync(file).equals(bytes)).toBe(true);
      expect(readdirSync(dirname(file))).toEqual(beside);
    }
    into.close();
    expect(readdirSync(dirname(into.path))).toEqual(["office.staunch"]);
  });

  it("reads an archive that was not closed cleanly, log and all", async () => {
    const b = sealedBench();
    await sealedRecord(b, "one");
    const into = office();
    expect(readdirSync(dirname(b.archive.path))).toContain("site.staunch-wal");
    expect(take(into, b.archive.path)).toMatchObject({ taken: 1 });
    into.close();
    b.archive.close();
  });

  it("goes on where it was broken off", async () => {
    const a = await crew("one", "two", "three");
    const into = office();
    into.db.exec("create temp trigger broken before insert on main.records when new.id = 'three' begin select raise(abort, 'cut'); end");
    expect(() => take(into, given(a.path, ["one", "three"]))).toThrow("cut");
    expect(ids(into)).toEqual([]);
    into.db.exec("drop trigger broken");
    expect(take(into, a.path)).toMatchObject({ taken: 3 });
    into.close();
  });
});

describe("gauges on file", () => {
  const check = {
    day: "2026-03-01",
    pressure_Pa: 1000,
    duration_s: 60,
    drop_Pa: 2,
    u_drop_Pa: 1,
    allowed_Pa: 10,
    passed: true,
    wall_ms: 5,
  };
  const withGauge = (archive: Archive, serial: string, url: string): void => {
    addGauge(archive, "Blue box", { ...EMPTY_SHEET, url, serial }, 0);
    addKitCheck(archive, findGauge(archive, "Blue box")?.number ?? 0, { ...check, source: "gauge", note: null });
  };

  it("come with their checks, once; what is in force here stays", async () => {
    const a = await crew("one");
    reopened(a.path, (archive) => withGauge(archive, "77", "keyed://a"));
    const [fresh, known, other] = [office(), office(), office()];
    addGauge(known, "blue box", { ...EMPTY_SHEET, url: "keyed://here", serial: "77" }, 0);
    addGauge(other, "blue box", { ...EMPTY_SHEET, url: "keyed://here", serial: "78" }, 0);
    for (const into of [fresh, known]) {
      take(into, a.path);
      expect(take(into, a.path).otherGauges).toEqual([]);
      expect(kitChecksOfDay(into, "Blue box", "2026-03-01").length).toBe(1);
    }
    expect(findGauge(known, "Blue box")?.sheet.url).toBe("keyed://here");
    expect(take(other, a.path).otherGauges).toEqual(["Blue box"]);
    expect(kitChecksOfDay(other, "Blue box", "2026-03-01")).toEqual([]);
    for (const into of [fresh, known, other]) into.close();
  });
});
