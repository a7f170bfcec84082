import { readdirSync, readFileSync, rmSync } from "node:fs";
import { dirname, join } from "node:path";
import Database from "better-sqlite3";
import { beforeAll, describe, expect, it } from "vitest";
import { isStaunchError } from "../../src/core/errors.ts";
import { chainFindings } from "../../src/evidence/chain.ts";
import { chainHead } from "../../src/storage/chainHead.ts";
import { closeInterrupted } from "../../src/storage/interrupted.ts";
import { openArchive } from "../../src/storage/open.ts";
import { isAllHere, type Rescued, rescue } from "../../src/storage/rescue.ts";
import { standings } from "../../src/storage/standings.ts";
import { temporaryFolder } from "../support/archives.ts";
import { noise, pagesOfRecords, putDown, SEALED, UNFINISHED, UNSEALED, type Victim, victim } from "../support/damaged.ts";
import { errorOf } from "../support/errors.ts";
import { reopened, take } from "../support/merging.ts";
import { sampleEnd } from "../support/records.ts";

const SIZE = 4096;
const ALL = [...SEALED, UNSEALED, UNFINISHED].sort();

let whole: Victim;
let unclosed: Victim;
let pagesOf: Map<string, Set<number>>;
let pagesUnclosed: Map<string, Set<number>>;
beforeAll(async () => {
  [whole, unclosed] = [await victim(true), await victim(false)];
  [pagesOf, pagesUnclosed] = [pagesOfRecords(whole), pagesOfRecords(unclosed)];
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
      .filter(({ word, taken }) => word === "sealed" || (word === "altered" && taken))
      .map(({ record }) => record)
      .sort(),
  ).toEqual(sealed.sort());
  return { ...done, sealed };
}

const untouched = (isSpoilt: (page: number) => boolean, pages = pagesOf): string[] =>
  ALL.filter((id) => ![...(pages.get(id) ?? [])].some(isSpoilt));
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

describe("a log beside it", () => {
  const FRAME = SIZE + 24;
  const frames = (): number => Math.floor(((unclosed.log?.length ?? 0) - 32) / FRAME);

  it("with a frame spoilt, head and all: at most what lies on its page is lost, its neighbours are not", () => {
    for (let frame = 0; frame < frames(); frame += 15) {
      const at = 32 + frame * FRAME;
      const page = unclosed.log?.readUInt32BE(at) ?? 0;
      const path = putDown(unclosed, (_main, log) => void noise(FRAME, frame).copy(log, at));
      const done = rescued(path, { keys: [unclosed.key.publicDer] });
      expect(taken(done)).toEqual(expect.arrayContaining(untouched((one) => one === page, pagesUnclosed)));
      expect(done.pages.spoilt_frames).toBe(frame === frames() - 1 ? 0 : 1);
    }
  });

  it("without its header, and with its newest frames gone: what was sealed by then comes over", () => {
    expect(isAllHere(rescued(putDown(unclosed, (_main, log) => void noise(32, 1).copy(log))))).toBe(true);
    let before = 0;
    for (let kept = 0; kept <= frames(); kept += 12) {
      const path = putDown(unclosed, (main, log) => ({ main, log: log.subarray(0, 32 + kept * FRAME) }));
      const sealed = kept === 0 ? 0 : trySealed(path);
      expect(sealed).toBeGreaterThanOrEqual(before);
      before = sealed;
    }
    expect(before).toBe(SEALED.length);
  });

  function trySealed(path: string): number {
    try {
      return rescued(path).sealed.length;
    } catch (error) {
      if (isStaunchError(error)) return 0;
      throw error;
    }
  }
});

describe("what is gone is told, and what proves itself is not believed less for it", () => {
  const pageOf = (table: string): number => {
    const path = putDown(whole, () => undefined);
    const db = new Database(path, { readonly: true });
    const page = db.prepare<[string], number>("select pageno from dbstat where name = ? and pagetype = 'leaf'").pluck().get(table);
    db.close();
    return page ?? 0;
  };

  it("the keys: with this machine's own, or one that is told, all comes over; without, nothing sealed does", () => {
    const page = pageOf("keys");
    const without = rescued(onPage(page, noise(SIZE, 1)));
    expect(without.records.filter(({ taken }) => taken).map(({ record }) => record)).toEqual([UNSEALED, UNFINISHED]);
    expect(without.records[0]).toMatchObject({ word: "altered", what: `the key it was signed with is lost: ${whole.key.fingerprint}` });
    expect(taken(rescued(onPage(page, noise(SIZE, 1)), { keys: [whole.key.publicDer] }))).toHaveLength(ALL.length);
  });

  it("the whole list of records and their verdicts: both are made again from what was sealed", () => {
    const pages = [pageOf("records"), pageOf("ends")];
    const path = putDown(whole, (main) => {
      for (const page of pages) main.fill(0, (page - 1) * SIZE, page * SIZE);
      return undefined;
    });
    expect(rescued(path).sealed.sort()).toEqual(SEALED);
  });

  it("a bit of a sealed record: it is kept out, and taken only when asked, marked", () => {
    const [page = 0] = pagesOf.get(SEALED[0] ?? "") ?? [];
    const at = whole.main.indexOf('"tester":"R. Tarn"', (page - 1) * SIZE);
    const path = putDown(whole, (main) => void main.write("B", at + 10));
    expect(rescued(path).records.filter((one) => !one.taken)).toMatchObject([{ record: SEALED[0], word: "altered" }]);
    const all = rescued(path, { takeAltered: true });
    expect(taken(all)).toHaveLength(ALL.length);
    expect(all.records.filter(({ what }) => what !== null)).toMatchObject([{ record: SEALED[0], word: "altered", taken: true }]);
  });

  it("a number in the middle of the chain is a gap", () => {
    const page = Math.max(...(pagesOf.get(SEALED[0] ?? "") ?? []));
    const done = rescued(onPage(page, noise(SIZE, 3)));
    expect(done.gaps).toEqual([{ kind: "not-included", chain: whole.id, from: 1, to: 4 }]);
  });

  it("at many places at once, with bytes that lie anywhere: nothing is thrown, and no seal that does not fit comes over", () => {
    for (let round = 0; round < 25; round++) {
      const dice = noise(64, round + 100);
      const spoilt = Array.from({ length: 1 + (round % 6) }, (_, n) => {
        const from = dice.readUInt32BE(n * 8) % whole.main.length;
        return { from, to: Math.min(whole.main.length, from + 1 + (dice.readUInt16BE(n * 8 + 4) % (round % 2 === 0 ? 40 : 9000))) };
      });
      const path = putDown(whole, (main) => {
        for (const { from, to } of spoilt) noise(to - from, from).copy(main, from);
        return undefined;
      });
      check(path, (page) => spoilt.some(({ from, to }) => from < page * SIZE && to > (page - 1) * SIZE));
    }
  });
});

describe("refused", () => {
  const into = (): string => join(temporaryFolder(), "new.staunch");
  const ask = { keys: [], takeAltered: false, wall_ms: 0 };

  it.each([
    ["a letter", () => Buffer.from("a letter".repeat(1000)), "not-an-archive"],
    ["nothing", () => Buffer.alloc(0), "not-an-archive"],
    ["noise", () => noise(300_000, 5), "not-an-archive"],
    [
      "an archive of which only the header is left",
      () => Buffer.concat([whole.main.subarray(0, SIZE), Buffer.alloc(SIZE * 9)]),
      "nothing-readable",
    ],
  ])("%s", (_what, bytes, code) => {
    const path = putDown(whole, (_main, log) => ({ main: bytes(), log }));
    const output = into();
    expect(errorOf(() => rescue(path, output, ask))).toMatchObject({ code, exit: 65 });
    expect(readdirSync(dirname(output))).toEqual([]);
  });

  it("a new file that is there, or would be taken for part of an archive", () => {
    const path = putDown(whole, () => undefined);
    expect(errorOf(() => rescue(path, path, ask)).code).toBe("same-file");
    expect(errorOf(() => rescue(path, `${path}-wal`, ask)).code).toBe("same-file");
    const output = putDown(unclosed, () => undefined);
    expect(errorOf(() => rescue(path, output, ask)).code).toBe("file-exists");
    rmSync(output);
    expect(errorOf(() => rescue(path, output, ask)).code).toBe("file-exists");
    expect(errorOf(() => rescue(dirname(path), into(), ask)).code).toBe("not-an-archive");
  });
});

it("the next start in the new archive is clean: what was unfinished is closed and sealed in a chain of its own, and a good copy merges in", async () => {
  const output = join(temporaryFolder(), "new.staunch");
  rescue(onPage(Math.max(...(pagesOf.get(SEALED[0] ?? "") ?? [])), noise(SIZE, 3)), output, { keys: [], takeAltered: false, wall_ms: 0 });
  reopened(output, (archive) => {
    const sealing = { key: whole.key, onUnsealed: (why: string) => expect(why).toBe("") };
    const closed = closeInterrupted(archive, 1, (start) => sampleEnd(start).verdict, sealing);
    expect(closed).toEqual({ closed: [UNFINISHED], failed: [] });
    expect(chainHead(archive)).toMatchObject({ chain: archive.id, number: 1 });
    const good = putDown(whole, () => undefined);
    expect(take(archive, good)).toMatchObject({ taken: 4 });
    const looked = [...standings(archive, new Set())];
    expect(looked.filter(({ standing }) => standing.standing === "altered")).toEqual([]);
    expect(chainFindings(looked.flatMap(({ found }) => found?.sealed ?? [])).filter(({ kind }) => kind === "forked")).toEqual([]);
  });
});
