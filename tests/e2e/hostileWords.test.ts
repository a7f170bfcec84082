/** Hostile text typed, or in a file that is brought: taken as plain letters or refused in a plain sentence, never let through, never a defect. */
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import type { Verdict } from "../../src/core/record.ts";
import { temporaryFolder } from "../support/archives.ts";
import type { Ran } from "../support/gaugeCommand.ts";
import { HOSTILE, harmIn, harmInJson } from "../support/hostileText.ts";
import { type Machine, machineIn, type RunParts, staunch } from "../support/inProcess.ts";
import type { TestIo } from "../support/io.ts";

/** No word of a command line is longer (Linux: MAX_ARG_STRLEN), holds a NUL or half a letter; all may stand in a file. */
const wordOf = (text: string): string =>
  text
    .slice(0, 131_000)
    .replaceAll("\0", "\u0001")
    .replaceAll(/\p{Cs}/gu, "\ufffd");

const METHOD = {
  ...{ id: "own", title: "Our own", source: "made up", medium: "air", stop: "fixed-time", charge: "1100 Pa" },
  ...{ settle: "20 s", test: "1000 Pa", hold: "30 s", permittedDrop: "250 Pa", boundary: "less-or-equal" },
};
const RISING = Array.from({ length: 60 }, (_, i) => `${i},${100 * i}`).join("\n");
const SIM = "sim://?leak=0.5&seed=7";
const QUICK = ["--pace", "5000", "--laid-length", "45"];
const LC = ["--method", "en1610-lc", "--dn", "150"];
const TEST = ["test", "--gauge", SIM, ...LC, ...QUICK];

/** A whole test ends 0, 1 or 2; words and files are refused with these. Never 70. */
const KNOWN_EXITS = [0, 1, 2, 64, 65, 69, 74, 130];

/** Runs it; neither stream may do harm, and `--json` is one object or a refusal without any. */
async function tried(site: Machine, words: readonly string[], parts: RunParts = {}): Promise<Ran> {
  const ran = await staunch(site, words, parts);
  const { out, err, exit } = ran;
  const short = words.map((word) => JSON.stringify(word.slice(0, 40))).join(" ");
  const harm = words.includes("--json") && out !== "" ? harmInJson(out) : harmIn(out);
  expect({ short, harm, err: harmIn(err), defect: err.includes("(defect)"), known: KNOWN_EXITS.includes(exit) }).toEqual({
    ...{ short, harm: [], err: [], defect: false, known: true },
  });
  // Data are given back whole.
  if (!words.includes("--json")) expect({ short, long: out.length + err.length > 60_000 }).toEqual({ short, long: false });
  return ran;
}

/** One pass on record, for what is asked of records. */
let prepared: Machine;
let site: Machine;
let id = "";
beforeAll(async () => {
  prepared = machineIn(mkdtempSync(join(tmpdir(), "staunch-hostile-")));
  const { out } = await staunch(prepared, [...TEST, "--json"]);
  id = (JSON.parse(out) as Verdict).record ?? "";
});

beforeEach(() => {
  site = { ...machineIn(temporaryFolder()), key: prepared.key };
  copyFileSync(prepared.archive, site.archive);
});
afterAll(() => rmSync(prepared.folder, { recursive: true, force: true }));

/** What was taken stands sealed, and the verdict is what its journal gives. */
async function isSound(at: Machine): Promise<void> {
  const { exit, out } = await tried(at, ["verify", "--deep"]);
  expect([exit, out.includes("ALTERED"), out.includes("another verdict")]).toEqual([0, false, false]);
}

describe.each(HOSTILE)("%s", (_what, text) => {
  const evil = wordOf(text);

  it("as every word of a test: shown harmless, the verdict as without it", async () => {
    const own = machineIn(temporaryFolder());
    const told = ["--section", evil, "--stage", evil, "--by", evil, "--plugs", evil, "--cap", evil, "--weather", evil, "--witness", evil];
    for (const how of [["--json"], ["--plain"]]) {
      const { exit, err } = await tried(own, [...TEST, ...told, ...how]);
      // What has no letter left in it is refused, as an empty word would be.
      if (exit === 64) expect(err).toContain("(words-empty)");
      else expect(exit).toBe(0);
    }
    for (const option of ["--method", "--gauge", "--rule", "--pace", "--resolution", "--accuracy", "--overrides", "--vent-from", "--dn"])
      expect((await tried(own, [...TEST, option, evil])).exit).not.toBe(0);
    for (const option of ["--material", "--laid-length", "--hold", "--atmosphere", "--groundwater", `--${evil}`])
      await tried(own, [...TEST, option, evil]);
    if ((await tried(own, ["records", "list"])).exit === 0) await isSound(own);
    const typed = { step_ms: 100, tick: ({ clock, type }: TestIo) => type(clock.now_ms() < 2000 ? evil : "stop") };
    expect((await tried(own, ["test", "--gauge", "keyed://", ...LC, "--plain"], typed)).exit).toBe(130);
  });

  it("as what is searched, named and reviewed", async () => {
    for (const words of [
      ...[
        ["show", evil],
        ["list", "--section", evil],
        ["list", "--stage", evil],
        ["list", "--verdict", evil],
        ["list", "--since", evil],
      ].map((more) => ["records", ...more]),
      ...[["list", evil], ["list", "--sort", evil], ["summary", "--by", evil], ["accept", evil, "--by", "M. Reed"], [evil]].map((more) => [
        "review",
        ...more,
      ]),
      ...[["accept"], ["return"], ["note"]].map(([word = ""]) => [
        "review",
        word,
        id,
        "--by",
        evil,
        ...(word === "note" ? ["ok"] : ["--reason", "ok"]),
      ]),
      ["review", "return", id, "--by", "M. Reed", "--reason", evil],
      ["review", "note", id, evil, "--by", "M. Reed"],
      ["verify", evil],
      ["verify", site.archive, evil],
      ["verify", "--trust", evil],
      ["verify", "--countersign", id, "--by", evil],
      ["verify", "--countersign", id, "--by", "W. Witness", "--keyfile", evil],
      ["replay", evil, "--plain"],
      ["replay", id, "--plain", "--rule", evil],
      ["replay", id, "--plain", "--method", evil],
      ["replay", id, "--plain", "--speed", evil],
    ]) {
      await tried(site, words);
      await tried(site, [...words.filter((word) => word !== "--plain"), "--json"]);
    }
    for (const words of [
      ["records", "list"],
      ["records", "show", id],
      ["review", "list"],
      ["review", "summary", "--by", "tester"],
    ]) {
      expect((await tried(site, words)).exit).toBe(0);
      expect((await tried(site, [...words, "--json"])).exit).toBe(0);
    }
    await isSound(site);
  });

  it("as a gauge on file, and as its reasons, names and papers", async () => {
    const own = machineIn(temporaryFolder());
    await tried(own, ["gauges", "add", evil, SIM]);
    await tried(own, ["gauges", "add", "red", evil]);
    for (const word of ["--range", "--resolution", "--accuracy", "--calibrated", "--due"])
      expect((await tried(own, ["gauges", "add", "red", SIM, word, evil])).exit).not.toBe(0);
    const papers = ["--serial", evil, "--certificate", evil, "--calibrated", "2024-01-01", "--due", "2025-01-01"];
    const added = await tried(own, ["gauges", "add", "blue", SIM, ...papers]);
    if (added.exit !== 0) await tried(own, ["gauges", "add", "blue", SIM, ...papers.slice(4)]);
    await tried(own, ["gauges", "calibrate", "blue", "--url", evil]);
    await tried(own, ["gauges", "kit-check", "blue", "--pace", "5000", "--note", evil]);
    for (const words of [
      ["gauges", "list"],
      ["gauges", "show", "blue"],
      ["gauges", "show", evil],
      ["gauges", "check", evil, ...LC],
      ["gauges", "check", "blue", ...LC],
    ]) {
      await tried(own, words);
      await tried(own, [...words, "--json"]);
    }
    const reasoned = ["test", "--gauge", "blue", ...LC, ...QUICK, "--gauge-reason", evil];
    const { exit, err } = await tried(own, [...reasoned, "--json"]);
    if (exit !== 0) expect([exit, err]).toEqual([64, expect.stringContaining("(gauge-reason)")]);
    await tried(own, ["records", "list"]);
    if ((await tried(own, ["records", "show", "last"])).exit === 0) await isSound(own);
  });

  it("in a file: a method, readings, a gauge's description", async () => {
    for (const field of Object.keys(METHOD)) {
      const files = { "bad.json": JSON.stringify({ ...METHOD, [field]: text }), "worse.json": JSON.stringify({ ...METHOD, [text]: 1 }) };
      for (const name of Object.keys(files)) {
        await tried(site, ["methods", "check", name], { files });
        await tried(site, ["methods", "show", name, "--dn", "150", "--json"], { files });
      }
    }
    const noUtf8 = text.replaceAll(/\p{Cs}/gu, "\ufffd");
    const cell = `"${noUtf8.replaceAll('"', '""')}"`;
    const files = {
      "raw.csv": noUtf8,
      "head.csv": `time_s,pressure_Pa,${noUtf8}\n${RISING}\n`,
      "quoted-head.csv": `time_s,${cell}\n${RISING}\n`,
      "unit.csv": `time_s,pressure_${noUtf8}\n${RISING}\n`,
      "cell.csv": `time_s,pressure_Pa\n${RISING}\n60,${noUtf8}\n`,
      "quoted.csv": `time_s,pressure_Pa\n${RISING}\n60,${cell}\n`,
      "time.csv": `time,pressure_Pa\n${cell},1\n`,
      [`${evil}.csv`]: `time_s,pressure_Pa\n${RISING}\n`,
    };
    for (const name of Object.keys(files)) {
      await tried(site, ["judge", name, ...LC], { files });
      await tried(site, ["judge", name, ...LC, "--json"], { files });
      await tried(site, ["replay", name, ...LC, "--plain"], { files });
    }
    await tried(site, ["judge", "none.csv", ...LC, "--added", evil, "--resolution", evil], { files });
    const own = machineIn(temporaryFolder());
    mkdirSync(join(own.folder, "gauges"));
    const toml = JSON.stringify(noUtf8);
    for (const [at, content] of [
      noUtf8,
      `name = ${toml}\nprotocol = "line"\nport = "/dev/nowhere"\n`,
      `name = "n"\nprotocol = ${toml}\nport = "/dev/nowhere"\n`,
      `name = "n"\nprotocol = "line"\nport = ${toml}\n`,
      `name = "n"\nprotocol = "line"\nport = "/dev/nowhere"\n[options]\nstatus = ${toml}\n`,
      `name = "n"\nprotocol = "line"\nport = "/dev/nowhere"\n[options]\n${toml} = "x"\n`,
    ].entries()) {
      writeFileSync(join(own.folder, "gauges", `g${at}.toml`), content);
      expect((await tried(own, [...TEST, "--gauge", `g${at}`, "--pace", "1"])).exit).not.toBe(0);
    }
  });

  it("as the name of a file, an archive or a key that is there", async () => {
    // A file system takes no name above 255 bytes and no slash; all else may stand in one.
    const name = evil.slice(0, 60).replaceAll("/", "_");
    const named: Machine = {
      folder: site.folder,
      archive: join(site.folder, `${name}.staunch`),
      key: join(site.folder, name, `${name}.pem`),
    };
    const given = join(site.folder, `${name} given.staunch`);
    copyFileSync(prepared.archive, named.archive);
    expect(JSON.parse((await tried(named, ["verify", "--key", "--json"])).out)).toMatchObject({ schema: "staunch/key/1" });
    for (const [words, exit] of [
      [[...TEST, "--json"], 0],
      [["records", "list"], 0],
      [["records", "list", "--section", "none"], 0],
      [["review", "list", "none"], 0],
      [["review", "summary", "none"], 0],
      [["review", "accept", "last", "--by", "M. Reed"], 0],
      [["gauges", "list"], 0],
      [["handover", "all", "--section", "none", "-o", given], 64],
      [["handover", "all", "-o", given], 0],
      [["handover", "all", "-o", given], 64],
      [["verify", given, "--json"], 2],
      [["verify", given], 2],
      [["replay", given, "--plain"], 64],
      [["replay", given, "last", "--plain"], 0],
      [["records", "show", "none"], 64],
      [["merge", named.archive], 64],
      [["live", "--gauge", SIM, "--pace", "5000", "--seconds", "2", "--csv", join(site.folder, `${name}.csv`)], 0],
      [["live", "--gauge", SIM, "--pace", "5000", "--seconds", "2", "--csv", given], 64],
    ] as const) {
      const ran = await tried(named, words);
      expect({ words: words.slice(0, 4), exit: ran.exit, err: ran.err }).toMatchObject({ words: words.slice(0, 4), exit });
    }
    const office = { ...site, archive: join(site.folder, `${name} office.staunch`) };
    for (const json of [[], ["--json"]]) expect((await tried(office, ["merge", given, ...json])).exit).toBe(0);
    for (const archive of [dirname(named.key), `${named.archive}/none`, join(site.folder, "none", name), join(site.folder, evil)])
      expect((await tried({ ...named, archive }, ["records", "list"])).exit).not.toBe(0);
  });

  it("as the name of what is not there, a command or an option", async () => {
    for (const words of [
      ...[[evil], [`--${evil}`], ["records", `--${evil}`], ["records", evil], ["methods", "show", evil], ["gauges", evil]],
      ...[
        ["live", "--gauge", SIM, "--unit", evil],
        ["live", "--gauge", evil, "--seconds", "1"],
        ["live", "--gauge", SIM, "--seconds", evil],
      ],
      ...[
        ["merge", evil],
        ["merge", evil, "--json"],
        ["handover", evil, "-o", "none"],
        ["handover", "all", "--since", evil, "-o", "none"],
      ],
      ...[
        ["gauges", "learn", evil, "--seconds", "1"],
        ["test", "--gauge", `serial://${evil}`, ...LC],
        ["test", "--gauge", `ble://${evil}`, ...LC],
      ],
    ])
      expect((await tried(site, words)).exit).not.toBe(0);
  });
});
