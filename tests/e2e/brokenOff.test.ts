/** The built program broken off, locked out and left without a gauge. */
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, expect, it } from "vitest";
import { readJournal } from "../../src/storage/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { findRecord } from "../../src/storage/records.ts";
import { type Running, runProgram, startProgram } from "../support/program.ts";
import { openPty } from "../support/pty.ts";
import { startInstrument } from "../support/scpiInstrument.ts";

const TIGHT = ["--method", "en1610-lc", "--dn", "150", "--laid-length", "45", "--plain"];
/** At this pace a simulated test takes two minutes: whatever is done to it is done in its middle. */
const SLOW = ["--gauge", "sim://?leak=0.5&seed=7", "--pace", "5", ...TIGHT];
const QUICK = ["--gauge", "sim://?leak=0.5&seed=7", "--pace", "2000", ...TIGHT];

let folder = "";
let archive = "";
const running: Running[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "staunch-broken-"));
  archive = join(folder, "site.staunch");
});
afterEach(async () => {
  for (const one of running.splice(0)) {
    one.kill("SIGKILL");
    await one.ended;
  }
  rmSync(folder, { recursive: true, force: true });
});

const words = (...more: readonly string[]): string[] => ["--archive", archive, "test", ...more];

async function inItsMiddle(): Promise<Running> {
  const one = startProgram(words("--section", "First", ...SLOW));
  running.push(one);
  await one.until("pumping to be asked for", (text) => text.includes("Pump to"));
  return one;
}

interface Listed {
  records: { id: string; verdict: string | null; state: string }[];
}
const listed = async (): Promise<Listed["records"]> => {
  const { code, out } = await runProgram(["--archive", archive, "records", "list", "--json"]);
  expect(code).toBe(0);
  return (JSON.parse(out) as Listed).records;
};

it("killed without warning: the next start closes the record as interrupted and says so", async () => {
  const first = await inItsMiddle();
  first.kill("SIGKILL");
  expect(await first.ended).toBe("SIGKILL");
  expect(await listed()).toMatchObject([{ verdict: null, state: "interrupted" }]);
  const [broken] = await listed();

  const second = await runProgram(words("--section", "Second", ...QUICK));
  expect(second.code).toBe(0);
  expect(second.err).toContain(`record ${broken?.id} had been broken off; it is closed now`);
  const shown = await runProgram(["--archive", archive, "records", "show", broken?.id ?? "", "--json"]);
  const { verdict } = JSON.parse(shown.out) as { verdict: { verdict: string; reasons: { code: string }[] } };
  expect(verdict.verdict).toBe("void");
  expect(verdict.reasons.map(({ code }) => code)).toContain("interrupted");
  expect((await listed()).map((one) => one.verdict)).toEqual(["pass", "void"]);
});

it("a second test in the same archive is refused with 74 and names the first", async () => {
  const first = await inItsMiddle();
  const [{ id } = { id: "none" }] = await listed();
  const second = await runProgram(words("--section", "Second", ...QUICK));
  expect({ code: second.code, out: second.out }).toEqual({ code: 74, out: "" });
  expect(second.err).toContain(id);
  expect(second.err).toContain("(archive-in-use)");
  expect(await listed()).toHaveLength(1);
  first.kill("SIGINT");
  expect(await first.ended).toBe(130);
});

it.each(["SIGINT", "SIGTERM", "SIGHUP"] as const)("%s ends it with 130 and a void record that says interrupted", async (signal) => {
  const one = await inItsMiddle();
  one.kill(signal);
  expect(await one.ended).toBe(130);
  expect(one.out()).toContain("VOID: this attempt proves nothing");
  const shown = await runProgram(["--archive", archive, "records", "show", "last", "--json"]);
  const { verdict } = JSON.parse(shown.out) as { verdict: { verdict: string; reasons: { code: string }[] } };
  expect(verdict.verdict).toBe("void");
  expect(verdict.reasons.map(({ code }) => code)).toContain("interrupted");
});

it("a foreign lock on the archive in mid test loses nothing", async () => {
  const one = await inItsMiddle();
  const foreign = new Database(archive);
  foreign.exec("begin immediate");
  const count = (): number => foreign.prepare<[], number>("select count(*) from journal").pluck().get() ?? 0;
  const before = count();
  const told = one.out().length;
  await one.until("it to go on meanwhile", (text) => /charge · .*\n/.test(text.slice(told)));
  expect(count()).toBe(before);
  foreign.exec("rollback");
  one.kill("SIGINT");
  expect(await one.ended).toBe(130);
  foreign.close();
  const reading = openArchive(archive, { mode: "read" });
  const kept = readJournal(reading, findRecord(reading, "last").number);
  reading.close();
  expect(kept.map(({ seq }) => seq)).toEqual(kept.map((_, place) => place));
  expect(kept.length).toBeGreaterThan(before + 20);
  const replayed = await runProgram(["--archive", archive, "replay", "last", "--json"]);
  expect(replayed.err).toContain("the verdict is the recorded one, to the last digit");
});

it("a gauge dead from the start: 69, and no record", { timeout: 60_000 }, async () => {
  const pty = await openPty(join(folder, "gauge"));
  const { code, out, err } = await runProgram(words("--gauge", `serial://${join(folder, "gauge")}?protocol=scpi`, ...TIGHT, "--json"));
  await pty.end();
  expect({ code, out }).toEqual({ code: 69, out: "" });
  expect(err).toContain("(gauge-no-reading)");
  expect(await listed()).toEqual([]);
});

it("ports that cannot be had: each its own code, 69, and no record", async () => {
  const taken = await startInstrument({ knots: [[0, 0]] });
  const holder = startProgram(words("--gauge", `serial://${taken.path}?protocol=scpi`, ...TIGHT));
  running.push(holder);
  await holder.until("the first to have the port", (text) => text.includes("Pump to"));
  archive = join(folder, "other.staunch");
  writeFileSync(join(folder, "file"), "no port");
  for (const [path, expected] of [
    [taken.path, "port-busy"],
    [join(folder, "nothing-here"), "port-missing"],
    [join(folder, "file"), "port-not-serial"],
  ] as const) {
    const { code, out, err } = await runProgram(words("--gauge", `serial://${path}?protocol=scpi`, ...TIGHT, "--json"));
    expect({ code, out }).toEqual({ code: 69, out: "" });
    expect(err).toContain(`(${expected})`);
  }
  expect(await listed()).toEqual([]);
  holder.kill("SIGINT");
  expect(await holder.ended).toBe(130);
  await taken.end();
});
