/** A disk full at the n-th page while any command writes, n from none to enough: a quota of pages stands in for the disk, wherever an archive is opened. */
import { copyFileSync, existsSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { Archive } from "../../src/storage/open.ts";
import { temporaryFolder } from "../support/archives.ts";
import { type Machine, machineIn, staunch } from "../support/inProcess.ts";
import { contents, reopened } from "../support/merging.ts";

/** Pages by which each archive opened for writing may grow from now on; `null`: as many as it likes. */
let quota: number | null = null;
/** Pages of each when it was first opened under the quota. */
const sizes = new Map<string, number>();

// SQLite answers SQLITE_FULL when a file would grow beyond so many pages, as it does on a full disk.
vi.mock("../../src/storage/open.ts", async (original) => {
  const real = await original<typeof import("../../src/storage/open.ts")>();
  const openArchive: typeof real.openArchive = (path, options) => {
    const archive = real.openArchive(path, options);
    if (quota === null || options.mode !== "write") return archive;
    const size = sizes.get(path) ?? Number(archive.db.pragma("page_count", { simple: true }));
    sizes.set(path, size);
    archive.db.pragma(`max_page_count = ${size + quota}`);
    return archive;
  };
  return { ...real, openArchive };
});
beforeEach(() => {
  quota = null;
});
afterEach(() => {
  quota = null;
});

const SIM = "sim://?leak=0.5&seed=7";
const LC = ["--method", "en1610-lc", "--dn", "150", "--laid-length", "45"];
const TEST = ["test", "--gauge", SIM, "--pace", "5000", ...LC, "--plain"];

/** One sealed record, a gauge on file; and a crew's archive to be taken in. */
async function prepared(): Promise<{ site: Machine; crew: string; id: string }> {
  const site = machineIn(temporaryFolder());
  const { out } = await staunch(site, TEST);
  await staunch(site, ["gauges", "add", "blue", SIM]);
  const crew = { ...site, archive: join(site.folder, "crew.staunch") };
  for (let i = 0; i < 3; i++) await staunch(crew, TEST);
  // What a sealed journal left free would take a small entry without a page more.
  reopened(site.archive, ({ db }) => void db.exec("vacuum"));
  return { site, crew: crew.archive, id: /^record: (\S+)$/m.exec(out)?.[1] ?? "none" };
}

const now = (path: string): unknown => reopened(path, (archive: Archive) => contents(archive));

function isWhole(path: string): void {
  reopened(path, ({ db }) => expect(db.pragma("integrity_check", { simple: true })).toBe("ok"));
}

async function allIntact(at: Machine): Promise<number> {
  const { out } = await staunch(at, ["verify", "--deep", "--json"]);
  const { entries, findings } = JSON.parse(out) as { entries: { standing: string; again?: { again: string } }[]; findings: unknown[] };
  expect(entries.filter(({ standing, again }) => standing !== "intact" || (again?.again ?? "same") !== "same")).toEqual([]);
  expect(findings).toEqual([]);
  return entries.length;
}

interface Case {
  words: (id: string, crew: string, folder: string) => string[];
  /** Pages between two tries; a whole test at every page is tests/storage/diskFull. */
  stride?: number;
  /** How often in a row: small entries share a page. */
  times?: number;
}

const CASES: [string, Case][] = [
  ["a test with a gauge on file", { words: () => TEST.map((word) => (word === SIM ? "blue" : word)), stride: 4 }],
  ["a review", { words: (id) => ["review", "return", id, "--by", "M. Reed (invented)", "--reason", "wet hose ".repeat(100)], times: 12 }],
  ["a second signature", { words: (id) => ["verify", "--countersign", id, "--by", "W. Witness (invented)"], times: 12 }],
  ["a gauge put on file", { words: () => ["gauges", "add", "red", `${SIM}&noise=0.${"3".repeat(6000)}`, "--serial", "4711"] }],
  ["a calibration", { words: () => ["gauges", "calibrate", "blue", "--url", `${SIM}&noise=0.${"3".repeat(6000)}`] }],
  ["a merge", { words: (_id, crew) => ["merge", crew], stride: 2 }],
  ["a handover", { words: (_id, _crew, folder) => ["handover", "all", "-o", join(folder, "given.staunch")] }],
];

describe("a disk that is full while there is to be written", () => {
  it.each(CASES)(
    "%s: 74 with what to do, nothing half, nothing lost; with room again it is done",
    async (_name, { words, stride = 1, times = 1 }) => {
      const { site, crew, id } = await prepared();
      const path = site.archive;
      let refused = 0;
      let done = false;
      for (let pages = 0; !done; pages += stride) {
        const own = { ...site, folder: temporaryFolder(), archive: "" };
        own.archive = join(own.folder, "site.staunch");
        copyFileSync(path, own.archive);
        const asked = words(id, crew, own.folder);
        let ran = { exit: 0, out: "", err: "" };
        let before: unknown = null;
        for (let time = 0; time < times && ran.exit === 0; time++) {
          before = now(own.archive);
          quota = pages;
          ran = await staunch(own, asked);
          quota = null;
        }
        sizes.clear();
        const { exit, out, err } = ran;
        isWhole(own.archive);
        if (exit === 0) done = true;
        else {
          refused++;
          const told = { exit, told: err.includes("(archive-full)"), hint: err.includes("Free some space"), verdict: /PASS/.test(out) };
          expect({ pages, ...told }).toEqual({ pages, exit: 74, told: true, hint: true, verdict: false });
          if (asked[0] !== "test") expect(now(own.archive)).toEqual(before);
          expect(existsSync(join(own.folder, "given.staunch"))).toBe(false);
          expect(readdirSync(own.folder).filter((name) => !/^site\.staunch(\.lock)?$/.test(name))).toEqual([]);
          expect((await staunch(own, asked)).exit).toBe(0);
        }
        expect(await allIntact(own)).toBeGreaterThan(0);
        expect(pages).toBeLessThan(400);
      }
      expect(refused).toBeGreaterThan(0);
    },
  );
});
