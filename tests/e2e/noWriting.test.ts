/** Places nobody may write to, through every command, as a user whom permission bits stop: told with 74, read what can be read, nothing left half. */
import { chmodSync, existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { temporaryFolder } from "../support/archives.ts";
import type { Ran } from "../support/gaugeCommand.ts";
import { type Machine, machineIn, staunch } from "../support/inProcess.ts";
import { runProgram } from "../support/program.ts";

const SIM = "sim://?leak=0.5&seed=7";
const TEST = ["test", "--gauge", SIM, "--pace", "5000", "--method", "en1610-lc", "--dn", "150", "--laid-length", "45", "--plain"];

let site: Machine;
let elsewhere = "";
let id = "";
beforeEach(async () => {
  site = machineIn(join(temporaryFolder(), "site"));
  mkdirSync(site.folder);
  elsewhere = temporaryFolder();
  const { out } = await staunch(site, TEST);
  id = /^record: (\S+)$/m.exec(out)?.[1] ?? "none";
  for (const words of [["gauges", "add", "blue", SIM]]) await staunch(site, words);
});
// Before the folders are removed.
afterEach(() => {
  for (const folder of [site.folder, join(site.folder, "key"), elsewhere]) if (existsSync(folder)) chmodSync(folder, 0o755);
});

/** As `withoutPrivilege`, for what takes turns. The key stays its owner's: who may not read it cannot sign either. */
async function unprivileged(words: readonly string[], at = site): Promise<Ran> {
  const isRoot = process.geteuid?.() === 0 && process.seteuid !== undefined;
  if (isRoot) process.seteuid?.(65534);
  try {
    return await staunch(at, words);
  } finally {
    if (isRoot) process.seteuid?.(0);
  }
}

const READING = (): readonly (readonly string[])[] => [
  ["records", "list"],
  ["records", "show", id],
  ["review", "list"],
  ["review", "summary", "--by", "tester"],
  ["verify", "--deep", "--trust", fingerprint],
  ["verify", "--day"],
  ["replay", id, "--plain"],
  ["gauges", "list"],
  ["gauges", "show", "blue"],
];
const WRITING = (): readonly (readonly string[])[] => [
  TEST,
  ["gauges", "add", "red", SIM],
  ["gauges", "calibrate", "blue", "--serial", "4711"],
  ["review", "accept", id, "--by", "M. Reed (invented)"],
  ["merge", join(elsewhere, "other.staunch")],
];

let fingerprint = "";
beforeEach(async () => {
  fingerprint = /^fingerprint +(.+)$/m.exec((await staunch(site, ["verify", "--key"])).out)?.[1] ?? "";
  const other = { ...machineIn(elsewhere), archive: join(elsewhere, "other.staunch") };
  await staunch(other, TEST);
});

const seen = ({ exit, out, err }: Ran, words: readonly string[]) => ({ words, exit, out, code: /\(([a-z-]+)\)\s*$/.exec(err)?.[1] });

describe.each([
  ["a read-only folder", () => chmodSync(site.folder, 0o555)],
  ["a read-only file", () => chmodSync(site.archive, 0o444)],
] as const)("%s", (_what, shut) => {
  it("is read by every command that reads, refuses what writes with 74, and stays as it was", async () => {
    chmodSync(site.archive, 0o666);
    chmodSync(site.folder, 0o777);
    shut();
    const before = readFileSync(site.archive);
    for (const words of READING()) expect({ words, exit: (await unprivileged(words)).exit }).toEqual({ words, exit: 0 });
    for (const words of WRITING())
      expect(seen(await unprivileged(words), words)).toEqual({
        ...{ words, exit: 74, out: "", code: words[0] === "review" ? "review-read-only" : "archive-read-only" },
      });
    expect(readFileSync(site.archive).equals(before)).toBe(true);
    const logs = readdirSync(site.folder).filter((name) => /-wal$|-journal$/.test(name));
    expect(logs.map((name) => statSync(join(site.folder, name)).size)).toEqual(logs.map(() => 0));
    const out = join(elsewhere, "given.staunch");
    chmodSync(elsewhere, 0o777);
    expect((await unprivileged(["handover", "all", "-o", out])).exit).toBe(0);
    expect((await staunch(site, ["verify", out, "--deep"])).exit).toBe(0);
  });
});

it("a folder where a handover or readings shall go: 74, and nothing of them there", async () => {
  chmodSync(elsewhere, 0o555);
  const before = readdirSync(elsewhere);
  const handover = ["handover", "all", "-o", join(elsewhere, "given.staunch")];
  expect(seen(await unprivileged(handover), handover)).toMatchObject({ exit: 74, out: "" });
  const live = ["live", "--gauge", SIM, "--pace", "5000", "--seconds", "2", "--csv", join(elsewhere, "readings.csv")];
  expect(seen(await unprivileged(live), live)).toMatchObject({ exit: 74, code: "csv-unwritable" });
  expect(readdirSync(elsewhere)).toEqual(before);
});

it("a folder in place of the archive, and a file in place of its folder: 74 each", async () => {
  const file = join(elsewhere, "file");
  writeFileSync(file, "a letter");
  for (const archive of [elsewhere, join(file, "site.staunch")])
    for (const words of WRITING()) {
      const { exit, out, err } = await staunch({ ...site, archive }, words);
      // What may only be said of a record asks first whether there is one.
      const wanted = words[0] === "review" ? [64, 65, 74] : [74];
      expect({ words, isRefused: wanted.includes(exit), out, defect: err.includes("(defect)") }).toEqual({
        ...{ words, isRefused: true, out: "", defect: false },
      });
    }
  expect(readFileSync(file, "utf8")).toBe("a letter");
});

it("a key's folder: tests go on and say that they are unsealed; what only signs is 74", async () => {
  const shut = { ...site, key: join(elsewhere, "key", "private.pem") };
  chmodSync(elsewhere, 0o555);
  chmodSync(site.archive, 0o666);
  for (const name of readdirSync(site.folder)) chmodSync(join(site.folder, name), 0o777);
  chmodSync(site.folder, 0o777);
  const tested = await unprivileged(TEST, shut);
  expect([tested.exit, tested.out.includes("PASS: tight")]).toEqual([0, true]);
  expect(tested.err).toMatch(/staunch: unsealed: .*STAUNCH_KEY/);
  for (const words of [
    ["verify", "--key"],
    ["review", "accept", id, "--by", "M. Reed (invented)"],
  ])
    expect(seen(await unprivileged(words, shut), words)).toEqual({ words, exit: 74, out: "", code: "key-unusable" });
  const { out, exit } = await staunch(site, ["verify"]);
  expect([exit, out.includes("1 intact, 1 unsealed.")]).toEqual([2, true]);
});

it("no home: 74 for what goes there, and a test in a named archive goes on, unsealed", async () => {
  const homeless = { HOME: "/dev/null", XDG_DATA_HOME: "", STAUNCH_ARCHIVE: "", STAUNCH_KEY: "" };
  const nowhere = await runProgram(TEST, homeless);
  expect({ ...nowhere, err: /\(archive-cannot-open\)\s*$/.test(nowhere.err) }).toEqual({ code: 74, out: "", err: true });
  const named = await runProgram(["--archive", join(elsewhere, "named.staunch"), ...TEST], homeless);
  expect([named.code, named.out.includes("PASS: tight"), named.err.includes("staunch: unsealed: ")]).toEqual([0, true, true]);
});
