import { describe, expect, it } from "vitest";
import { type MethodsOptions, methods } from "../../src/commands/methods.ts";
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
