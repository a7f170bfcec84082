import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { findRecord, listRecords } from "../../src/storage/records.ts";
import { temporaryFolder } from "../support/archives.ts";
import { errorOf } from "../support/errors.ts";
import { sampleEnd, sampleStart } from "../support/records.ts";

/** Four records: a pass, a fail of another section, a simulated one, one without an end; written down out of order. */
function filled(): Archive {
  const archive = openArchive(join(temporaryFolder(), "site.staunch"), { mode: "write" });
  const day = (n: number): number => Date.UTC(2026, 2, n, 8);
  const section = { ...sampleStart().section, id: "Elderbrook S4-S5" };
  const starts = [
    sampleStart({ id: "20260303-080000-cccc", started_wall_ms: day(3), source: "simulated" }),
    sampleStart({ id: "20260301-080000-aaaa", started_wall_ms: day(1) }),
    sampleStart({ id: "20260302-080000-bbbb", started_wall_ms: day(2), section, stage: "covered" }),
    sampleStart({ id: "20260304-080000-dddd", started_wall_ms: day(4) }),
  ];
  const numbers = starts.map((start) => insertStart(archive.db, start));
  starts.slice(0, 3).forEach((start, i) => {
    insertEnd(archive.db, numbers[i] ?? 0, sampleEnd(start, i === 2 ? { verdict: "fail" } : {}));
  });
  return archive;
}

const tails = (lines: { id: string }[]): string[] => lines.map(({ id }) => id.slice(-1));

describe("listRecords", () => {
  it("gives the newest first, with what a list needs", () => {
    const archive = filled();
    const lines = listRecords(archive);
    expect(tails(lines)).toEqual(["d", "c", "b", "a"]);
    expect(lines[2]).toEqual({
      number: 3,
      id: "20260302-080000-bbbb",
      started_wall_ms: Date.UTC(2026, 2, 2, 8),
      ended_wall_ms: Date.UTC(2026, 2, 2, 8) + 620_000,
      section: "Elderbrook S4-S5",
      stage: "covered",
      method: "sample-100mm",
      source: "gauge",
      verdict: "fail",
    });
    archive.close();
  });

  const filters: [string, Parameters<typeof listRecords>[1], string[]][] = [
    ["section", { section: "Elderbrook S4-S5" }, ["b"]],
    ["stage", { stage: "laid" }, ["d", "c", "a"]],
    ["method", { method: "sample-100mm" }, ["d", "c", "b", "a"]],
    ["another method", { method: "en1610-lc" }, []],
    ["verdict", { verdict: "pass" }, ["c", "a"]],
    ["no verdict yet", { verdict: "open" }, ["d"]],
    ["source", { source: "simulated" }, ["c"]],
    ["since, that moment included", { since_wall_ms: Date.UTC(2026, 2, 3, 8) }, ["d", "c"]],
    ["newest so many", { limit: 2 }, ["d", "c"]],
    ["several at once", { verdict: "pass", source: "gauge", stage: "laid" }, ["a"]],
    ["text that is no SQL", { section: "' or 1=1 --" }, []],
  ];
  for (const [what, filter, ids] of filters)
    it(`filters by ${what}`, () => {
      const archive = filled();
      expect(tails(listRecords(archive, filter))).toEqual(ids);
      archive.close();
    });
});

describe("findRecord", () => {
  const finds: [string, string, string][] = [
    ["the whole id", "20260302-080000-bbbb", "b"],
    ["a beginning that only one has", "20260303", "c"],
    ["an ending that only one has", "aaaa", "a"],
    ["last", "last", "d"],
  ];
  for (const [what, wanted, id] of finds)
    it(`finds by ${what}`, () => {
      const archive = filled();
      expect(findRecord(archive, wanted).start.id.slice(-1)).toBe(id);
      archive.close();
    });

  it("gives back start and end as they were written", () => {
    const archive = filled();
    const start = sampleStart({ id: "20260301-080000-aaaa", started_wall_ms: Date.UTC(2026, 2, 1, 8) });
    expect(findRecord(archive, "aaaa")).toEqual({ number: 2, start, end: sampleEnd(start) });
    expect(findRecord(archive, "dddd").end).toBeNull();
    archive.close();
  });

  it("names those that fit when several do", () => {
    const archive = filled();
    const error = errorOf(() => findRecord(archive, "2026030"));
    expect([error.code, error.exit]).toEqual(["record-ambiguous", 64]);
    expect(error.message).toContain("20260301-080000-aaaa, 20260302-080000-bbbb");
    archive.close();
  });

  it("names the nearest when none does", () => {
    const archive = filled();
    const error = errorOf(() => findRecord(archive, "20260302-080001-bbbb"));
    expect([error.code, error.exit]).toEqual(["record-unknown", 64]);
    expect(error.hint).toMatch(/^Nearest: 20260302-080000-bbbb/);
    archive.close();
  });

  it("takes wildcards and nothing at all for what they are", () => {
    const archive = filled();
    for (const wanted of ["%", "_", "*", "", "' or 1=1 --"]) expect(errorOf(() => findRecord(archive, wanted)).code).toBe("record-unknown");
    archive.close();
  });

  it("lets no control characters of the question or of an id into its answer", () => {
    const archive = filled();
    insertStart(archive.db, sampleStart({ id: "evil\u001b[2J1" }));
    const error = errorOf(() => findRecord(archive, "evil\u001b]0;x\u0007"));
    expect(`${error.message}${error.hint}`).not.toContain("\u001b");
    archive.close();
  });

  it("says that there is nothing yet in a new archive", () => {
    const archive = openArchive(join(temporaryFolder(), "new.staunch"), { mode: "write" });
    for (const wanted of ["last", "x"]) expect(errorOf(() => findRecord(archive, wanted)).message).toContain("no record yet");
    archive.close();
  });

  it("calls a start or verdict that makes no sense damage", () => {
    const archive = filled();
    archive.db.exec("update records set start = '{}' where number = 1; update ends set verdict = 'null' where record = 2");
    for (const id of ["cccc", "aaaa"]) expect(errorOf(() => findRecord(archive, id))).toMatchObject({ code: "archive-damaged", exit: 65 });
    archive.close();
  });

  it("takes no start that could not be read back", () => {
    const archive = filled();
    const limits = { ...sampleStart().limits, hold_s: Number.NaN };
    expect(() => insertStart(archive.db, sampleStart({ id: "new", limits }))).toThrow(TypeError);
    archive.close();
  });

  it("takes no id twice", () => {
    const archive = filled();
    expect(() => insertStart(archive.db, sampleStart({ id: "20260301-080000-aaaa" }))).toThrow(
      expect.objectContaining({ code: "SQLITE_CONSTRAINT_UNIQUE" }),
    );
    archive.close();
  });
});
