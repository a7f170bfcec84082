import { join } from "node:path";
import Database from "better-sqlite3";
import { beforeAll, describe, expect, it } from "vitest";
import { closeInterrupted } from "../../src/storage/interrupted.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { markOf } from "../../src/storage/marks.ts";
import { findRecord } from "../../src/storage/records.ts";
import { rescue } from "../../src/storage/rescue.ts";
import { standings } from "../../src/storage/standings.ts";
import { temporaryFolder } from "../support/archives.ts";
import { noise, pagesOfRecords, putDown, SEALED, type Victim, victim } from "../support/damaged.ts";
import { reopened, take } from "../support/merging.ts";
import { everyKind, sampleEnd, sampleStart } from "../support/records.ts";

const SIZE = 4096;
const id = SEALED[1] ?? "";
let whole: Victim;
/** The page on which the seal of that record begins. */
let sealPage = 0;
beforeAll(async () => {
  whole = await victim(true);
  sealPage = Math.min(...(pagesOfRecords(whole).get(id) ?? []));
});

const spoilt = (...pages: number[]): string =>
  putDown(whole, (main) => {
    for (const page of pages) noise(SIZE, page).copy(main, (page - 1) * SIZE);
    return undefined;
  });

function pageOf(table: string): number {
  const db = new Database(
    putDown(whole, () => undefined),
    { readonly: true },
  );
  const page = db.prepare<[string], number>("select pageno from dbstat where name = ? and pagetype = 'leaf'").pluck().get(table);
  db.close();
  return page ?? 0;
}

describe("of a sealed record whose seal is lost", () => {
  it("the journal comes over out of its blocks, event for event, and a good copy takes its place", () => {
    const output = join(temporaryFolder(), "new.staunch");
    const done = rescue(spoilt(sealPage), output, { keys: [], takeAltered: false, wall_ms: 0 });
    expect(done.records.find(({ record }) => record === id)).toMatchObject({ word: "unsealed", taken: true, events: everyKind().length });
    reopened(output, (archive) => {
      const { number, end } = findRecord(archive, id);
      expect(readJournal(archive, number)).toEqual(everyKind());
      expect(end).toEqual(sampleEnd(sampleStart({ id })));
      expect(markOf(archive, id)).toContain("its seal is lost");
      expect(
        take(
          archive,
          putDown(whole, () => undefined),
        ),
      ).toMatchObject({ completed: 1 });
      expect(markOf(archive, id)).toBeNull();
      expect([...standings(archive, new Set([whole.key.fingerprint]), id)][0]?.standing).toEqual({ standing: "intact" });
    });
  });

  it("and whose verdict is too: the journal comes over, is judged again at the next start, and nothing else is made of it", () => {
    const output = join(temporaryFolder(), "new.staunch");
    const done = rescue(spoilt(sealPage, pageOf("ends")), output, { keys: [], takeAltered: true, wall_ms: 0 });
    expect(done.records.find(({ record }) => record === id)).toMatchObject({
      word: "unfinished",
      what: expect.stringContaining("judges it again"),
    });
    reopened(output, (archive) => {
      const judged: unknown[] = [];
      const { closed } = closeInterrupted(archive, 1, (start, journal) => {
        if (start.id === id) judged.push(journal);
        return sampleEnd(start).verdict;
      });
      expect(closed).toContain(id);
      expect(judged).toEqual([everyKind()]);
    });
  });
});
