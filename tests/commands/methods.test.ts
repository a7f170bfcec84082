import { describe, expect, it } from "vitest";
import { judge } from "../../src/commands/judge.ts";
import { type MethodsOptions, methods } from "../../src/commands/methods.ts";
import { replay } from "../../src/commands/replay.ts";
import { test } from "../../src/commands/test.ts";
import { METHOD_GROUPS, METHODS } from "../../src/core/methods/index.ts";
import { errorOf, rejectionOf } from "../support/errors.ts";
import { testIo } from "../support/io.ts";

const FILE = JSON.stringify({
  id: "our-chamber",
  title: "Our chamber \u00e9tanche",
  source: "made up for this test",
  medium: "air",
  stop: "fixed-time",
  charge: "-10.4 inHg",
  settle: "30 s",
  test: "-10 inHg",
  hold: "60 s",
  permittedDrop: "1 inHg",
  boundary: "less-or-equal",
});
const files = { "our.json": FILE, "bad.json": FILE.replace('"60 s"', '"0 s"'), "broken.json": "{" };

/** What the methods that leave a figure to the specification must be told. */
const toldWords: Readonly<Record<string, readonly string[]>> = {
  "en1610-joint": ["--test-pressure", "100 mbar"],
  "dwa149-over": ["--hold", "5 min"],
  "dwa149-under": ["--hold", "5 min"],
  "dwa149-joint": ["--hold", "1 min"],
  onorm2503: ["--hold", "8 min"],
  "astm-c924": ["--dn", "300"],
  "astm-c828": ["--dn", "300"],
  "astm-c1244": ["--hold", "5 min"],
  "asnzs2566-air": ["--hold", "5 min"],
  "asnzs3500-air": ["--permitted-drop", "1 kPa"],
};

async function run(...words: string[]) {
  const io = testIo({ files });
  const options = methods.parse(words, io);
  const exit = options === null ? null : await methods.run(options, { io, archive: "unused", program: "staunch test" });
  return { exit, out: io.outText.join("\n") };
}

const shown = async (...words: string[]) => JSON.parse((await run("show", ...words, "--json")).out) as Record<string, unknown>;

describe("methods list", () => {
  it("has every method under its standard, in 80 columns", async () => {
    const { exit, out } = await run("list");
    expect(exit).toBe(0);
    const lines = out.split("\n");
    expect(Math.max(...lines.map((line) => Array.from(line).length))).toBeLessThanOrEqual(80);
    for (const { title, methods: members } of METHOD_GROUPS) {
      const from = lines.indexOf(title);
      expect(from).toBeGreaterThanOrEqual(0);
      const block = lines.slice(from + 1, lines.indexOf("", from) === -1 ? undefined : lines.indexOf("", from));
      expect(block.flatMap((line) => /^ {2}(\S+)/.exec(line)?.[1] ?? [])).toEqual(members.map(({ id }) => id));
    }
    expect(out).toMatch(/^EN 1610 \(Europe\)\n {2}en1610-la {2,}10 mbar/);
  });

  it("--json is one object", async () => {
    const { methods: all } = JSON.parse((await run("list", "--json")).out) as { methods: { id: string }[] };
    expect(all.map(({ id }) => id)).toEqual(METHODS.map(({ id }) => id));
  });
});

describe("methods show", () => {
  it("--json has the promised fields, in order, with figures", async () => {
    const figures = await shown("en1610-lc", "--dn", "300", "--material", "pvc", "--laid-length", "45");
    expect(Object.keys(figures)).toEqual([
      "id",
      "title",
      "source",
      "provenance",
      "medium",
      "stop",
      "direction",
      "charge_Pa",
      "settle_s",
      "test_Pa",
      "hold_s",
      "permitted_drop_Pa",
      "floor_Pa",
      "boundary",
      "thrust_N",
      "thrust_top_N",
      "top_pressure_Pa",
      "plug_mm_Pa",
      "cautions",
      "working",
    ]);
    expect(figures).toMatchObject({
      id: "en1610-lc",
      charge_Pa: 11_000,
      settle_s: 300,
      test_Pa: 10_000,
      hold_s: 240,
      permitted_drop_Pa: 1500,
      top_pressure_Pa: 12_650,
    });
    // p·A for DN 300: 0.070686 m²; P·x/l for 1 mm in 45 m.
    expect(figures.thrust_N).toBeCloseTo(777.54, 1);
    expect(figures.thrust_top_N).toBeCloseTo(894.18, 1);
    expect(figures.plug_mm_Pa).toBeCloseTo(111_325 / 45_000, 6);
  });

  it("leaves thrust and plug movement out when it cannot know them", async () => {
    expect(await shown("uk-100mm")).toMatchObject({ thrust_N: null, thrust_top_N: null, plug_mm_Pa: null });
  });

  it("takes inches and feet", async () => {
    expect(await shown("uk-100mm", "--dn", "12in", "--laid-length", "150ft")).toMatchObject({
      thrust_N: expect.closeTo(78.71, 1),
      plug_mm_Pa: expect.closeTo(2.238, 2),
    });
  });

  it("takes every word that tells more of the section", async () => {
    expect(await shown("dwa149-over", "--dn", "300", "--hold", "6 min")).toMatchObject({ hold_s: 360 });
    expect(await shown("asnzs3500-air", "--permitted-drop", "1 kPa")).toMatchObject({ permitted_drop_Pa: 1000 });
    expect(await shown("en1610-joint", "--dn", "1200", "--test-pressure", "100 mbar")).toMatchObject({ hold_s: 960 });
    expect(await shown("uk-50mm-traps", "--traps")).toMatchObject({ hold_s: 300 });
    expect(await shown("en1610-lb", "--dn", "1000", "--air-in-chamber", "allowed")).toMatchObject({ hold_s: 570 });
    expect(await shown("en1610-lc", "--dn", "300", "--groundwater", "0")).toMatchObject({ test_Pa: 10_000 });
    expect(await shown("ncpi", "--dn", "8in", "--laid-length", "300ft", "--branch", "4in x 400ft")).toMatchObject({
      stop: "fixed-drop",
      hold_s: 181,
    });
  });

  it("reckons thrust on the largest bore", async () => {
    // 1078.7315 Pa × π/4 × 0.4²
    expect(await shown("uk-100mm", "--dn", "150", "--laid-length", "30", "--branch", "400 x 10")).toMatchObject({
      thrust_N: expect.closeTo(135.56, 1),
    });
  });

  it.each(METHODS.map(({ id }) => id))("%s: a page of 80 columns at most, figures first", async (id) => {
    const told = toldWords[id] ?? [];
    const { out } = await run("show", id, "--dn", "1200", "--laid-length", "45", "--material", "clay", ...told);
    expect(Math.max(...out.split("\n").map((line) => Array.from(line).length))).toBeLessThanOrEqual(80);
    expect(out).toMatch(/Source: [\s\S]*Provenance: [\s\S]*Working:[\s\S]*Before (charging|filling):/);
  });

  it("prints a timed fall, a floor and what is less than", async () => {
    expect((await run("show", "ncpi", "--dn", "200", "--laid-length", "60")).out).toContain("at least for the fall below");
    expect((await run("show", "uk-shw509")).out).toContain("at least 75 mmH2O left");
    expect((await run("show", "en1610-lc", "--dn", "300")).out).toContain("less than 15 mbar lost");
  });

  it.each(["bore", "groundwater", "traps", "air-in-chamber", "hold", "permitted-drop", "test-pressure"])(
    "--%s has a sentence in the help of every command that judges",
    (word) => {
      for (const [command, words] of [
        [methods, ["show", "--help"]],
        [judge, ["--help"]],
        [replay, ["--help"]],
        [test, ["--help"]],
      ] as const) {
        const io = testIo();
        expect(command.parse(words, io)).toBeNull();
        expect(io.outText.join("\n")).toMatch(new RegExp(`--${word}\\b.*\\S`));
      }
    },
  );

  it("prints working and cautions for people", async () => {
    const { exit, out } = await run("show", "en1610-ld", "--dn", "1000", "--material", "clay", "--laid-length", "40");
    expect(exit).toBe(0);
    expect(out).toMatch(/Working:[\s\S]*formula\s+gives 6 min[\s\S]*plug movement in 40 m[\s\S]*Before charging:[\s\S]*kgf/);
  });

  it("shows a vacuum method from a file", async () => {
    expect(await shown("our.json", "--dn", "1200")).toMatchObject({
      direction: "vacuum",
      hold_s: 60,
      thrust_N: expect.closeTo(35_218.44 * 1.130973, 0),
    });
  });

  it.each([
    [["show", "en1610-la"], "dn-missing", 64],
    [["show", "en1610-xx", "--dn", "300"], "method-unknown", 64],
    [["show", "en1610-la", "--dn", "wide"], "dn-unreadable", 64],
    [["show", "en1610-la", "--dn", "300", "--material", "cheese"], "material-unknown", 64],
    [["show", "en1610-la", "--dn", "300", "--laid-length", "-5"], "length-unreadable", 64],
    [["show", "dwa149-over", "--dn", "300"], "hold-missing", 64],
    [["show", "dwa149-over", "--dn", "300", "--hold", "soon"], "duration-unreadable", 64],
    [["show", "dwa149-over", "--dn", "300", "--hold", "-5 min"], "figure-absurd", 64],
    [["show", "dwa149-over", "--dn", "300", "--hold", "48 h"], "figure-absurd", 64],
    [["show", "asnzs3500-air"], "permitted-drop-missing", 64],
    [["show", "asnzs3500-air", "--permitted-drop", "2 bar"], "figure-absurd", 64],
    [["show", "en1610-joint", "--dn", "1200"], "test-pressure-missing", 64],
    [["show", "en1610-joint", "--dn", "1200", "--test-pressure", "0 mbar"], "figure-absurd", 64],
    [["show", "uk-100mm", "--traps"], "traps-left-in", 64],
    [["show", "en1610-lb", "--dn", "1000", "--air-in-chamber", "perhaps"], "chamber-rule-unknown", 64],
    [["show", "en1610-lb", "--dn", "1000", "--air-in-chamber", "forbidden"], "chamber-air-forbidden", 64],
    [["show", "en1610-lc", "--dn", "300", "--branch", "150 x 8"], "several-sizes", 64],
    [["show", "en1610-la", "--dn", "300", "--groundwater", "0.2"], "groundwater-too-high", 64],
    [["show", "en1610-la", "--dn", "300", "--groundwater", "-1"], "length-unreadable", 64],
    [["show", "en1610-la", "--dn", "300", "--bore", "wide"], "dn-unreadable", 64],
    [["show", "ipc-dwv-air", "--dn", "100", "--material", "pvc"], "air-on-plastic", 64],
    [["check", "bad.json"], "method-field", 65],
    [["check", "broken.json"], "method-json", 65],
    [["check", "absent.json"], "file-unreadable", 65],
  ])("%j is refused", async (words, code, exit) => {
    const error = await rejectionOf(run(...words));
    expect({ code: error.code, exit: error.exit }).toEqual({ code, exit });
  });
});

describe("methods check", () => {
  it("says that a file can be used and what it works out to", async () => {
    const { exit, out } = await run("check", "our.json");
    expect(exit).toBe(0);
    expect(out).toMatch(/^our.json: can be used.\n/);
    expect(out).toContain("-10 inHg");
  });
});

describe("words", () => {
  const parse = (...words: string[]): MethodsOptions | null => methods.parse(words, testIo());

  it("become options", () => {
    expect(parse("show", "en1610-la", "--dn", "150", "--json")).toEqual({
      ask: "show",
      word: "en1610-la",
      section: { dn: "150" },
      json: true,
    });
    expect(parse("list")).toEqual({ ask: "list", json: false });
  });

  it.each([
    [[], "command-missing", /--help/],
    [["shwo"], "unknown-command", /Did you mean show/],
    [["show"], "missing-argument", /--help/],
    [["show", "x", "--dnn", "3"], "unknown-option", /Did you mean --dn/],
    [["show", "x", "--dn"], "option-missing-argument", /--help/],
    [["list", "extra"], "excess-arguments", /--help/],
  ])("%j is wrong usage", (words, code, hint) => {
    const error = errorOf(() => parse(...words));
    expect({ code: error.code, exit: error.exit }).toEqual({ code, exit: 64 });
    expect(error.hint).toMatch(hint);
  });
});
