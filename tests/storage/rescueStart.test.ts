import { readFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { isStaunchError } from "../../src/core/errors.ts";
import { closeInterrupted } from "../../src/storage/interrupted.ts";
import { appender } from "../../src/storage/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { rescue } from "../../src/storage/rescue.ts";
import { sealRecord } from "../../src/storage/sealRecord.ts";
import { guarded } from "../../src/storage/trouble.ts";
import { temporaryFolder } from "../support/archives.ts";
import { noise, putDown, SEALED, type Victim, victim } from "../support/damaged.ts";
import { everyKind, sampleEnd, sampleStart } from "../support/records.ts";

const SIZE = 4096;
let whole: Victim;
beforeAll(async () => {
  whole = await victim(true);
});

const sealedIn = (path: string): string[] => {
  const ask = { keys: [whole.key.publicDer], takeAltered: false, wall_ms: 0 };
  const { records } = rescue(path, join(temporaryFolder(), "new.staunch"), ask);
  return records.filter(({ word }) => word === "sealed").map(({ record }) => record);
};

/** A test started and ended in the archive, as the program does; "refused" when the archive would not have it. */
function started(path: string): "tested" | "refused" {
  const sealing = { key: whole.key, onUnsealed: () => undefined };
  try {
    const archive = openArchive(path, { mode: "write" });
    try {
      closeInterrupted(archive, 1, (start) => sampleEnd(start).verdict, sealing);
      const start = sampleStart({ id: "20260309-081500-h8h8" });
      const write = archive.db.transaction(() => {
        const number = insertStart(archive.db, start);
        appender(archive.db)(number, everyKind());
        insertEnd(archive.db, number, sampleEnd(start));
        sealRecord(archive, number, start, sampleEnd(start), sealing, 1);
      });
      guarded(archive.path, () => write.immediate());
    } finally {
      archive.close();
    }
    return "tested";
  } catch (error) {
    if (isStaunchError(error)) return "refused";
    throw error;
  }
}

describe("a test started in an archive with a page spoilt", () => {
  it.each([0, 1, 2])("is refused as damaged or runs, and loses nothing that could be rescued before (third %i)", (third) => {
    const seen = { tested: 0, refused: 0 };
    for (let page = 1 + third; page <= whole.main.length / SIZE; page += 3) {
      const path = putDown(whole, (main) => void noise(SIZE, page).copy(main, (page - 1) * SIZE));
      const [before, bytes] = [sealedIn(path), readFileSync(path)];
      const done = started(path);
      seen[done]++;
      const after = sealedIn(path);
      expect({ page, done, after }).toEqual({ page, done, after: expect.arrayContaining(before) });
      if (page === 1) expect(readFileSync(path).equals(bytes)).toBe(true);
      if (done === "tested") expect(after).toContain("20260309-081500-h8h8");
      expect(before.length).toBeGreaterThanOrEqual(SEALED.length - 4);
    }
    expect(seen.tested).toBeGreaterThan(0);
    expect(seen.refused).toBeGreaterThan(0);
  });
});
