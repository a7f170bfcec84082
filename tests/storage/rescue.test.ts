import { readdirSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import Database from "better-sqlite3";
import { beforeAll, describe, expect, it } from "vitest";
import { isStaunchError } from "../../src/core/errors.ts";
import { openArchive } from "../../src/storage/open.ts";
import { isAllHere, type Rescued, rescue } from "../../src/storage/rescue.ts";
import { standings } from "../../src/storage/standings.ts";
import { temporaryFolder } from "../support/archives.ts";
import { noise, pagesOfRecords, putDown, SEALED, UNFINISHED, UNSEALED, type Victim, victim } from "../support/damaged.ts";

const SIZE = 4096;
const ALL = [...SEALED, UNSEALED, UNFINISHED].sort();

let whole: Victim;
let unclosed: Victim;
let pagesOf: Map<string, Set<number>>;
beforeAll(async () => {
  [whole, unclosed] = [await victim(true), await victim(false)];
  pagesOf = pagesOfRecords(whole);
});

/** Rescues, and looks that the damaged file is as it was, nothing lies beside it, and SQLite finds the new archive whole and its seals fit. */
function rescued(path: string, over: Partial<Parameters<typeof rescue>[2]> = {}): Rescued & { sealed: string[] } {
  const beside = readdirSync(dirname(path)).sort();
  const before = beside.map((name) => readFileSync(join(dirname(path), name)));
  const output = join(temporaryFolder(), "new.staunch");
  const done = rescue(path, output, { keys: [], takeAltered: false, wall_ms: 7, ...over });
  expect(readdirSync(dirname(path)).sort()).toEqual(beside);
  for (const [n, name] of beside.entries()) expect(before[n]?.equals(readFileSync(join(dirname(path), name)))).toBe(true);
  expect(readdirSync(dirname(output))).toEqual(["new.staunch"]);
  const db = new Database(output, { readonly: true });
  expect(db.pragma("integrity_check", { simple: true })).toBe("ok");
  expect(db.pragma("foreign_key_check")).toEqual([]);
  db.close();
  const archive = openArchive(output, { mode: "read" });
  const looked = [...standings(archive, new Set())];
  archive.close();
  if (over.takeAltered !== true) expect(looked.filter(({ standing }) => standing.standing === "altered")).toEqual([]);
  const sealed = looked.filter(({ kind, found }) => kind === "record" && found !== null).map(({ subject }) => subject);
  expect(
    done.records
      .filter(({ word }) => word === "sealed")
      .map(({ record }) => record)
      .sort(),
  ).toEqual(sealed.sort());
  return { ...done, sealed };
}

const untouched = (isSpoilt: (page: number) => boolean): string[] => ALL.filter((id) => ![...(pagesOf.get(id) ?? [])].some(isSpoilt));
const taken = ({ records }: Rescued): string[] => records.filter((one) => one.taken).map(({ record }) => record);

describe("an archive that is whole", () => {
  it("comes over as it is, closed or with its log beside it", () => {
    for (const one of [whole, unclosed]) {
      const done = rescued(putDown(one, () => undefined));
      expect(done).toMatchObject({
        from: one.id,
        strays: 0,
        gaps: [],
        pages: { unreadable: 0, missing: 0, spoilt_rows: 0, spoilt_frames: 0 },
      });
      expect(done.records.map(({ record, word }) => [record, word])).toEqual([
        ...SEALED.map((id) => [id, "sealed"]),
        [UNSEALED, "unsealed"],
        [UNFINISHED, "unfinished"],
      ]);
      expect(done.besides).toHaveLength(3);
      expect(done.gauges).toEqual([{ name: "East", sheets: 1, zeros: 1, checks: 1 }]);
      expect(isAllHere(done)).toBe(true);
    }
  });
});

/** What must come over: all that lies on good pages. What came over besides lay somewhere else as well. */
function check(path: string, isSpoilt: (page: number) => boolean, over: Partial<Parameters<typeof rescue>[2]> = {}): Rescued {
  const done = rescued(path, { keys: [whole.key.publicDer], ...over });
  expect(taken(done)).toEqual(expect.arrayContaining(untouched(isSpoilt)));
  return done;
}

const pageCount = (): number => whole.main.length / SIZE;
const onPage = (page: number, fill: Buffer): string => putDown(whole, (main) => void fill.copy(main, (page - 1) * SIZE));

describe.each([
  ["noise", (page: number) => noise(SIZE, page)],
  ["zeros", () => Buffer.alloc(SIZE)],
])("one page spoilt with %s, each in turn", (_what, fill) => {
  it.each([0, 1, 2, 3])("every record that does not lie on it comes over, and every one is named (quarter %i)", (quarter) => {
    let lost = 0;
    for (let page = 1 + quarter; page <= pageCount(); page += 4) {
      const done = check(onPage(page, fill(page)), (one) => one === page);
      expect(done.records.map(({ record }) => record).sort()).toEqual(ALL);
      for (const { record, taken, what } of done.records)
        if (!taken) expect({ record, what }).toEqual({ record, what: expect.any(String) });
      lost += ALL.length - taken(done).length;
      if (taken(done).length < ALL.length) expect(isAllHere(done)).toBe(false);
    }
    // 23 pages hold something that a record cannot do without; on most lies one record only.
    expect(lost).toBeGreaterThan(0);
    expect(lost).toBeLessThan(pageCount() / 4 + 12);
  });
});

describe("an archive cut off", () => {
  it.each([0, 1, 2, 3])("at a page or within one: every record before the cut comes over (quarter %i)", (quarter) => {
    for (let page = 2 + quarter; page <= pageCount(); page += 4) {
      const at = (page - 1) * SIZE + (page % 2 === 0 ? 0 : 1000);
      const path = putDown(whole, (main, log) => ({ main: main.subarray(0, at), log }));
      const wanted = untouched((one) => one >= page);
      const done = trySome(path, (one) => one >= page);
      if (wanted.length > 0) expect(done).not.toBeNull();
      if (done !== null) expect([done.pages.missing, isAllHere(done)]).toEqual([pageCount() - page + 1, false]);
    }
  });

  function trySome(path: string, isSpoilt: (page: number) => boolean): Rescued | null {
    try {
      return check(path, isSpoilt);
    } catch (error) {
      if (isStaunchError(error, "nothing-readable")) return null;
      throw error;
    }
  }
});
