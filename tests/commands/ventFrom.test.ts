import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { foldJournal } from "../../src/commands/foldJournal.ts";
import { ventFrom } from "../../src/commands/ventFrom.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import type { RecordStart } from "../../src/core/record.ts";
import { appender } from "../../src/storage/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { temporaryFolder } from "../support/archives.ts";
import { closedLoop } from "../support/closedLoop.ts";
import { errorOf } from "../support/errors.ts";

const section = (laid_length_m: number | null) => limitsFor("en1610-la", { dn_mm: 300, material: "pvc", laid_length_m });

async function kept(laid_length_m: number | null, sim = "leak=0.3&seed=3&rate=10") {
  const { start, journal, last } = await closedLoop({ sim, limits: section(laid_length_m), keep: false });
  const verdict = last.judge.verdict;
  if (verdict === null) throw new Error("no verdict");
  const archive = openArchive(join(temporaryFolder(), "site.staunch"), { mode: "write" });
  const number = insertStart(archive.db, { ...start, id: "r-known" });
  appender(archive.db)(number, journal);
  insertEnd(archive.db, number, { ended_wall_ms: start.started_wall_ms + 900_000, verdict });
  return { archive, start, journal };
}

const remarked = (start: RecordStart, journal: Parameters<typeof foldJournal>[1]): boolean =>
  foldJournal(start, journal).remarks.some((r) => r.code === "volume-implausible");

describe("a vent measured on a section of known volume", () => {
  it("finds a section that is not as long as told, and nothing against one that is", async () => {
    const { archive, start, journal } = await kept(50);
    try {
      const gauge = { ...start.gauge, ...ventFrom(archive, "r-known") };
      expect(remarked({ ...start, gauge }, journal)).toBe(false);
      expect(remarked({ ...start, gauge, limits: section(120) }, journal)).toBe(true);
      expect(remarked({ ...start, gauge, limits: section(22) }, journal)).toBe(true);
      expect(remarked({ ...start, limits: section(120) }, journal)).toBe(false);
    } finally {
      archive.close();
    }
  });

  it("needs a known volume, a pipe that was opened and a fall that was seen", async () => {
    const unknown = await kept(null);
    const shut = await kept(50, "leak=0&seed=3&crew=absent");
    try {
      expect(errorOf(() => ventFrom(unknown.archive, "r-known")).code).toBe("vent-unknown");
      expect(errorOf(() => ventFrom(shut.archive, "r-known")).code).toBe("vent-unknown");
      expect(errorOf(() => ventFrom(shut.archive, "no-such-record")).code).toBe("record-unknown");
    } finally {
      unknown.archive.close();
      shut.archive.close();
    }
  });
});
