/** Another program holds the archive locked: at the start, in the middle, at the end, while it is sealed, reviewed, merged, listed. */
import { spawn } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { JournalEvent } from "../../src/core/journal.ts";
import type { Verdict } from "../../src/core/record.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { findRecord } from "../../src/storage/records.ts";
import { temporaryFolder } from "../support/archives.ts";
import { type Machine, machineIn, type RunParts, staunch } from "../support/inProcess.ts";
import { contents } from "../support/merging.ts";
import { type Running, startProgram } from "../support/program.ts";

/** A test of twelve minutes takes seven seconds of the machine's (virtual) time. */
const TEST = [
  ...["test", "--gauge", "sim://?leak=0.5&seed=7", "--pace", "100", "--method", "en1610-lc", "--dn", "150"],
  ...["--laid-length", "45", "--section", "S1 (invented)", "--plain"],
];

let site: Machine;
let foreign: Database.Database | null = null;
const running: Running[] = [];
beforeEach(() => {
  site = machineIn(temporaryFolder());
});
afterEach(async () => {
  foreign?.close();
  foreign = null;
  for (const one of running.splice(0)) {
    one.kill("SIGKILL");
    await one.ended;
  }
});

/** A second connection, as a viewer or a file sync has. */
function other(): Database.Database {
  foreign ??= new Database(site.archive, { timeout: 0 });
  return foreign;
}
const hold = (): void => void other().exec("begin immediate");
const letGo = (): void => void (other().inTransaction && other().exec("rollback"));

const run = (words: readonly string[], parts: RunParts = {}) => staunch(site, words, parts);

function kept(id: string): { journal: JournalEvent[]; verdict: Verdict | undefined } {
  const archive = openArchive(site.archive, { mode: "read" });
  const { number, end } = findRecord(archive, id);
  const journal = readJournal(archive, number);
  archive.close();
  return { journal, verdict: end?.verdict };
}

function all(): unknown {
  const archive = openArchive(site.archive, { mode: "read" });
  const now = contents(archive);
  archive.close();
  return now;
}

const intact = async (): Promise<string[]> => {
  const { out } = await run(["verify", "--deep", "--json"]);
  const { entries } = JSON.parse(out) as { entries: { record: string; standing: string; again?: { again: string } }[] };
  return entries.filter(({ standing, again }) => standing === "intact" && again?.again === "same").map(({ record }) => record);
};

const recordOf = (out: string): string => /^record: (\S+)$/m.exec(out)?.[1] ?? "none";

/** A first test with nobody in the way, and what it wrote. */
async function undisturbed(): Promise<{ id: string; journal: JournalEvent[] }> {
  const { exit, out } = await run(TEST);
  expect(exit).toBe(0);
  return { id: recordOf(out), journal: kept(recordOf(out)).journal };
}

/** Held from one virtual moment to another of the test, ms. */
const between = (from_ms: number, to_ms: number): RunParts => ({
  tick: ({ clock }) => {
    const now_ms = clock.now_ms();
    if (now_ms >= from_ms && now_ms < to_ms && !other().inTransaction) hold();
    if (now_ms >= to_ms) letGo();
  },
});

/** As a file sync or a virus scanner: most of the time. */
const again_and_again: RunParts = { tick: ({ clock }) => (clock.now_ms() % 500 < 300 ? other().inTransaction || hold() : letGo()) };

/** From the end of the hold on, for so long; the end is packed and sealed in it. */
function atTheEnd(for_ms: number): RunParts {
  let since_ms: number | null = null;
  return {
    tick: ({ clock, outText }) => {
      const isOver = outText.some((line) => line.includes("Hold over"));
      if (since_ms === null && isOver) {
        since_ms = clock.now_ms();
        hold();
      }
      if (since_ms !== null && clock.now_ms() >= since_ms + for_ms) letGo();
    },
  };
}

describe("a test whose archive is locked meanwhile", () => {
  it.each<[string, () => RunParts]>([
    ["for its first three seconds", () => between(0, 3000)],
    ["for three seconds in its middle", () => between(2000, 5000)],
    ["more often than not", () => again_and_again],
    ["for three seconds at its end, while it is to be sealed", () => atTheEnd(3000)],
  ])("%s: every stamp as without it, nothing lost, sealed", async (_name, parts) => {
    const plain = await undisturbed();
    const { exit, out, err } = await run(TEST, parts());
    expect({ exit, pass: out.includes("PASS: tight"), defect: err.includes("(defect)") }).toEqual({ exit: 0, pass: true, defect: false });
    const id = recordOf(out);
    expect(kept(id).journal).toEqual(plain.journal);
    expect(await intact()).toEqual([plain.id, id]);
  });

  it("at its end and for good: 74 with what to do, no verdict shown, and the next start closes it without a false word", async () => {
    const plain = await undisturbed();
    const { exit, out, err } = await run(TEST, atTheEnd(9e9));
    expect({ exit, told: /\(archive-locked\)$/.test(err.trim()), hint: err.includes("Close the other program") }).toEqual({
      ...{ exit: 74, told: true, hint: true },
    });
    expect(out).not.toMatch(/PASS|Verdict/);
    letGo();
    const next = await run(TEST);
    expect(next.err).toMatch(/record \S+ had been broken off; it is closed now/);
    const broken = /record (\S+) had been broken off/.exec(next.err)?.[1] ?? "";
    const { journal, verdict } = kept(broken);
    const written = journal.filter(({ kind }) => kind !== "end");
    expect(written.length).toBeGreaterThan(0.9 * plain.journal.length);
    expect(written).toEqual(plain.journal.slice(0, written.length));
    expect(verdict?.verdict).toBe("void");
    expect(await intact()).toEqual([plain.id, broken, recordOf(next.out)]);
  });

  it("from its start and for good: told after two seconds, 74 at the end, what was sealed before stands", async () => {
    const plain = await undisturbed();
    const before = all();
    hold();
    const { exit, err } = await run(TEST);
    expect(exit).toBe(74);
    expect(err.match(/Not on disk: Another program holds .* locked\./g)).toHaveLength(1);
    letGo();
    expect(all()).toEqual(before);
    expect((await run(TEST)).exit).toBe(0);
    expect((await intact())[0]).toBe(plain.id);
  });
});

/** What writes, once the archive has a record and a gauge. */
const WRITING = (id: string): readonly (readonly string[])[] => [
  ["review", "accept", id, "--by", "M. Reed (invented)"],
  ["verify", "--countersign", id, "--by", "W. Witness (invented)"],
  ["gauges", "add", "red", "sim://?leak=0.5"],
  ["gauges", "calibrate", "blue", "--serial", "4711"],
];
const READING = (id: string): readonly (readonly string[])[] => [
  ["records", "list"],
  ["records", "show", id],
  ["review", "list"],
  ["review", "summary", "--by", "tester"],
  ["verify", "--deep"],
  ["verify", "--day"],
  ["replay", id, "--plain"],
  ["gauges", "list"],
];

/** A program of another language with the file all to itself; frees it when told. */
async function alone(): Promise<() => Promise<void>> {
  const script = "import sqlite3,sys; d=sqlite3.connect(sys.argv[1],isolation_level=None); d.execute('pragma locking_mode=exclusive');";
  const child = spawn(
    "python3",
    ["-c", `${script} d.execute('begin exclusive'); print('held',flush=True); sys.stdin.readline()`, site.archive],
    {
      stdio: ["pipe", "pipe", "inherit"],
    },
  );
  const exited = once(child, "exit");
  expect(String(await once(child.stdout, "data"))).toContain("held");
  return async () => {
    child.stdin.end();
    await exited;
  };
}

describe("everything else", () => {
  it("reads while another writes; what writes is told 74 with what to do, changes nothing, and works afterwards", async () => {
    const { id } = await undisturbed();
    await run(["gauges", "add", "blue", "sim://?leak=0.5"]);
    hold();
    for (const words of [...READING(id), ["handover", "all", "-o", join(site.folder, "given.staunch")]])
      expect({ words, exit: (await run(words)).exit }).toEqual({ words, exit: 0 });
    const before = all();
    for (const words of WRITING(id)) {
      const { exit, out, err } = await run(words);
      expect({ words, exit, out, told: err.includes("(archive-locked)"), hint: err.includes("Close the other program") }).toEqual({
        ...{ words, exit: 74, out: "", told: true, hint: true },
      });
    }
    expect(all()).toEqual(before);
    letGo();
    for (const words of WRITING(id)) expect({ words, exit: (await run(words)).exit }).toEqual({ words, exit: 0 });
    expect(await intact()).toEqual([id]);
  });

  it("is told 74 with what to do while another program has the file to itself", async () => {
    const { id } = await undisturbed();
    await run(["gauges", "add", "blue", "sim://?leak=0.5"]);
    const free = await alone();
    for (const words of [...READING(id), ...WRITING(id), TEST, ["handover", "all", "-o", join(site.folder, "given.staunch")]]) {
      const { exit, out, err } = await run(words);
      expect({ words, exit, out, told: err.includes("(archive-locked)"), hint: err.includes("Close the other program") }).toEqual({
        ...{ words, exit: 74, out: "", told: true, hint: true },
      });
    }
    await free();
    for (const words of READING(id)) expect({ words, exit: (await run(words)).exit }).toEqual({ words, exit: 0 });
    expect(await intact()).toEqual([id]);
  });

  it("merge waits ten seconds, then is 74 and has taken nothing; merged again it takes all", { timeout: 90_000 }, async () => {
    const crew = machineIn(temporaryFolder());
    await staunch(crew, TEST);
    const { id } = await undisturbed();
    const before = all();
    hold();
    const { exit, out, err } = await run(["merge", crew.archive]);
    expect({ exit, out, told: err.includes("(archive-locked)") }).toEqual({ exit: 74, out: "", told: true });
    expect(all()).toEqual(before);
    letGo();
    expect((await run(["merge", crew.archive])).out).toContain("1 taken");
    expect(kept(id).verdict?.verdict).toBe("pass");
  });
});

it("four tests started at once on one archive: one runs, three are refused with 74 and its name", async () => {
  const slow = TEST.map((word) => (word === "100" ? "5" : word));
  const four = Array.from({ length: 4 }, () => startProgram(["--archive", site.archive, ...slow]));
  running.push(...four);
  const ended = new Map<Running, number | NodeJS.Signals>();
  const refused = new Promise<void>((resolve) => {
    for (const one of four)
      void one.ended.then((code) => {
        ended.set(one, code);
        if (ended.size === 3) resolve();
      });
  });
  await refused;
  expect([...ended.values()]).toEqual([74, 74, 74]);
  const runner = four.find((one) => !ended.has(one));
  await runner?.until("the one to pump", (text) => text.includes("Pump to"));
  const listed = JSON.parse((await run(["records", "list", "--json"])).out) as { records: { id: string; state: string }[] };
  expect(listed.records.map(({ state }) => state)).toEqual(["running"]);
  for (const one of ended.keys()) {
    expect(one.err()).toContain("(archive-in-use)");
    expect(one.err()).toContain(listed.records[0]?.id ?? "none");
  }
  runner?.kill("SIGINT");
  expect(await runner?.ended).toBe(130);
});
