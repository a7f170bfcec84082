import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { readingsOf, withLookAlikes } from "../../src/commands/lookAlikes.ts";
import { test } from "../../src/commands/test.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import type { RecordStart, Verdict } from "../../src/core/record.ts";
import { appender } from "../../src/storage/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { temporaryFolder } from "../support/archives.ts";
import { closedLoop } from "../support/closedLoop.ts";
import { rejectionOf } from "../support/errors.ts";
import { testIo } from "../support/io.ts";

const limits = limitsFor("en1610-lc", { dn_mm: 150, material: "pvc", laid_length_m: 30 });

interface Kept {
  start: RecordStart;
  journal: JournalEvent[];
  verdict: Verdict;
}

async function ran(id: string, seed: number, over: Partial<RecordStart> = {}): Promise<Kept> {
  const { start, journal, last } = await closedLoop({ sim: `leak=0.5&seed=${seed}&noise=3&resolution=1`, limits, keep: false });
  if (last.judge.verdict === null) throw new Error("no verdict");
  return { start: { ...start, ...over, id }, journal, verdict: { ...last.judge.verdict, record: id } };
}

function archiveOf(records: readonly Kept[]) {
  const archive = openArchive(join(temporaryFolder(), "site.staunch"), { mode: "write" });
  const append = appender(archive.db);
  for (const { start, journal, verdict } of records) {
    const number = insertStart(archive.db, start);
    append(number, journal);
    insertEnd(archive.db, number, { ended_wall_ms: start.started_wall_ms + 900_000, verdict });
  }
  return archive;
}

describe("a test whose noise has been seen before", () => {
  it("is remarked with the other record's id; one with noise of its own is not; what is stored stays as judged", async () => {
    const [first, copy, other] = [await ran("r-first", 7), await ran("r-copy", 7), await ran("r-other", 8)];
    const archive = archiveOf([first, copy, other]);
    try {
      const shown = withLookAlikes(archive, copy.verdict).remarks.filter((r) => r.code === "too-good");
      expect(shown.map((r) => r.text)).toEqual([expect.stringContaining("r-first")]);
      expect(copy.verdict.remarks.map((r) => r.code)).not.toContain("too-good");
      expect(withLookAlikes(archive, other.verdict)).toBe(other.verdict);
    } finally {
      archive.close();
    }
  });

  it("is found behind any number of newer records of the section, and behind thirty tests of the day", async () => {
    const NOON = new Date(2026, 2, 9, 12).getTime();
    const at = (section: string, started_wall_ms: number): Partial<RecordStart> => ({
      section: { id: section, dn_mm: 150, material: "pvc", laid_length_m: 30 },
      started_wall_ms,
    });
    const copy = await ran("r-copy", 7, at("S9", NOON));
    const again = (id: string, over: Partial<RecordStart>): Kept => ({ ...copy, start: { ...copy.start, ...over, id } });
    const original = again("r-original", at("S9", NOON - 90 * 86_400_000));
    const elsewhere = again("r-elsewhere", at("S3", NOON - 7_200_000));
    const other = await ran("r-other", 8);
    const newer = Array.from({ length: 520 }, (_, n) => ({
      start: { ...other.start, ...at("S8", NOON + (n + 1) * 86_400_000), id: `n-${n}` },
      journal: [],
      verdict: other.verdict,
    }));
    const sameDay = Array.from({ length: 30 }, (_, n) => ({
      start: { ...other.start, ...at(`T${n}`, NOON - 60_000 * (n + 1)), id: `d-${n}` },
      journal: other.journal.slice(0, 400),
      verdict: other.verdict,
    }));
    const archive = archiveOf([original, elsewhere, copy, ...sameDay, ...newer]);
    try {
      const found = withLookAlikes(archive, copy.verdict).remarks.filter((r) => r.code === "too-good");
      expect(found.map((r) => /r-\w+/.exec(r.text)?.[0])).toEqual(["r-original", "r-elsewhere"]);
    } finally {
      archive.close();
    }
  });

  it("is not looked for in another section on another day", async () => {
    const section = { id: "S9", dn_mm: 150, material: "pvc", laid_length_m: 30 };
    const archive = archiveOf([await ran("r-first", 7, { section, started_wall_ms: 1_700_000_000_000 }), await ran("r-copy", 7)]);
    try {
      const copy = await ran("r-copy", 7);
      expect(withLookAlikes(archive, copy.verdict)).toBe(copy.verdict);
    } finally {
      archive.close();
    }
  });

  it("reads a journal as the judge did, less what is cleaned away", async () => {
    const { start, journal, verdict } = await ran("r", 7);
    const { length } = readingsOf(start, journal).time_s;
    expect(length).toBeLessThanOrEqual(verdict.readings);
    expect(length).toBeGreaterThan(0.9 * verdict.readings);
  });
});

describe("test --strict", () => {
  // EN 1610 LC permits 15 mbar: a tenth is 150 Pa.
  it.each([
    [["--resolution", "200 Pa"], "2 mbar"],
    [["--accuracy", "200 Pa"], "± 2.31 mbar"],
    [["--accuracy", "10 %"], "± 1.73 mbar"],
  ])("refuses %j as too coarse", async (words, told) => {
    const io = testIo();
    const common = ["--gauge", "serial:///dev/null?protocol=line", "--method", "en1610-lc", "--dn", "150", "--material", "pvc", "--strict"];
    const options = test.parse([...common, ...words], io);
    if (options === null) throw new Error("only help came");
    const archive = join(temporaryFolder(), "site.staunch");
    const error = await rejectionOf(test.run(options, { io, archive, program: "staunch test" }));
    expect(error).toMatchObject({ code: "gauge-unfit", exit: 1 });
    expect(error.message).toContain(told);
  });
});
