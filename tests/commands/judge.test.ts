import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { exitOf, gaugeFrom, type JudgeOptions, judge, ruleFrom } from "../../src/commands/judge.ts";
import type { Verdict } from "../../src/core/record.ts";
import { errorOf, rejectionOf } from "../support/errors.ts";
import { testIo } from "../support/io.ts";

const CURVES = new URL("../../fixtures/curves/", import.meta.url);
const curve = (name: string): string => readFileSync(new URL(name, CURVES), "utf8");

const tight = curve("000_EN1610-LA-DN100_base_x0.csv");
const leaking = curve("009_EN1610-LA-DN150_base_x10.csv");
const cut = curve("133_EN1610-LA-DN150_hold-cut_x0.csv");

const options = (changes: Partial<JudgeOptions> = {}): JudgeOptions => ({
  file: "recording.csv",
  method: "en1610-la",
  section: { dn: "100", material: "pvc", laidLength: "53.3" },
  resolution: "1 Pa",
  accuracy: "0.1 %",
  rule: "guarded",
  json: true,
  ...changes,
});

async function run(text: string, changes: Partial<JudgeOptions> = {}) {
  const io = testIo({ files: { "recording.csv": text, "-": text, "bad.json": "{}" } });
  const exit = await judge.run(options(changes), { io, archive: "unused", program: "staunch 0.0.0" });
  return { exit, out: io.outText, err: io.errText.join("\n") };
}

describe("judge", () => {
  it("--json prints exactly one verdict of the promised shape", async () => {
    const { exit, out, err } = await run(tight);
    expect(out).toHaveLength(1);
    expect(err).toBe("");
    const verdict = JSON.parse(out.join("")) as Verdict;
    expect(Object.keys(verdict)).toEqual([
      "schema",
      "verdict",
      "reasons",
      "judge",
      "judge_version",
      "rule",
      "source",
      "record",
      "program",
      "method",
      "settled_at_s",
      "phases",
      "hold",
      "leak",
      "remarks",
      "readings",
    ]);
    expect(verdict).toMatchObject({
      schema: "staunch/verdict/1",
      verdict: "pass",
      judge: "whole-curve",
      rule: "guarded",
      source: "imported",
      record: null,
      program: "staunch 0.0.0",
      method: { id: "en1610-la" },
      readings: tight.trimEnd().split("\n").length - 1,
    });
    expect(exit).toBe(0);
  });

  it("ends with 1 for a fail and 2 for a void", async () => {
    expect((await run(leaking)).exit).toBe(1);
    expect((await run(cut)).exit).toBe(2);
    expect([exitOf("pass"), exitOf("fail"), exitOf("inconclusive"), exitOf("void")]).toEqual([0, 1, 2, 2]);
  });

  it("says it in words, the verdict first, never as proof of a section", async () => {
    const { out } = await run(tight, { json: false });
    const [first = "", second = ""] = out.join("\n").split("\n");
    expect(first).toMatch(/^PASS/);
    expect(second).toMatch(/IMPORTED/);
  });

  it("reads stdin, and turns notes to stderr", async () => {
    const { exit, out, err } = await run(tight.trimEnd(), { file: "-" });
    expect(exit).toBe(0);
    expect(out).toHaveLength(1);
    expect(err).toMatch(/no line end/);
  });

  it.each([
    ["an empty file", "", {}, "csv-empty", 65],
    ["a wrong unit", "time_s,pressure_furlong\n0,1\n", {}, "csv-unit", 65],
    ["a file that is not there", tight, { file: "absent.csv" }, "file-unreadable", 65],
    ["a method file without fields", tight, { method: "bad.json" }, "method-field", 65],
    ["an unknown method", tight, { method: "en1610-lx" }, "method-unknown", 64],
    ["no DN where one is needed", tight, { section: {} }, "dn-missing", 64],
    ["an unknown rule", tight, { rule: "kind" }, "rule-unknown", 64],
    ["a resolution that is none", tight, { resolution: "0 Pa" }, "gauge-figure", 64],
    ["a resolution without a unit", tight, { resolution: "1" }, "pressure-unreadable", 64],
  ])("refuses %s", async (_, text, changes, code, exit) => {
    const error = await rejectionOf(run(text, changes));
    expect({ code: error.code, exit: error.exit }).toEqual({ code, exit });
    if (code.startsWith("csv-")) expect(error.message).toMatch(/^recording\.csv: /);
  });
});

describe("words", () => {
  it("become options; the rule is simple unless said otherwise", () => {
    expect(judge.parse(["a.csv", "--method", "uk-100mm", "--dn", "150", "--json"], testIo())).toEqual({
      file: "a.csv",
      method: "uk-100mm",
      section: { dn: "150" },
      resolution: undefined,
      accuracy: undefined,
      rule: "simple",
      json: true,
    });
    expect(judge.parse(["-", "--method", "uk-100mm"], testIo())?.file).toBe("-");
    expect(ruleFrom("guarded")).toBe("guarded");
  });

  it("lacks its method or file", () => {
    expect(errorOf(() => judge.parse(["a.csv"], testIo())).message).toContain("--method");
    expect(errorOf(() => judge.parse(["--method", "uk-100mm"], testIo())).code).toBe("missing-argument");
  });

  it.each([
    ["0.1 %", 0.001, null],
    [".25%", 0.0025, null],
    ["2 Pa", null, 2],
    ["0.2 mbar", null, 20],
  ])("accuracy %s", (text, fraction, pascal) => {
    expect(gaugeFrom("file:x.csv", "1 mm", text)).toMatchObject({
      accuracy_fraction: fraction,
      accuracy_Pa: pascal,
      resolution_Pa: 9.80665,
    });
  });

  it.each(["60 %", "-2 Pa", "NaN %", "2 bar", "about"])("accuracy %s is refused", (text) => {
    expect(errorOf(() => gaugeFrom("file:x.csv", undefined, text)).exit).toBe(64);
  });
});

describe("help", () => {
  it("has an example that works", async () => {
    const help = testIo();
    judge.parse(["--help"], help);
    const example = /^ {2}staunch judge (.+)$/m.exec(help.outText.join("\n"))?.[1] ?? "";
    const words = [...example.matchAll(/"([^"]*)"|(\S+)/g)].map(([, quoted, plain]) => quoted ?? plain ?? "");
    const [file = ""] = words;
    const io = testIo({ files: { [file]: readFileSync(new URL(`../../${file}`, import.meta.url), "utf8") } });
    const options = judge.parse(words, io);
    if (options === null) throw new Error("the example asks for help");
    expect(await judge.run(options, { io, archive: "unused", program: "staunch 0.0.0" })).toBe(0);
  });
});

it("names the option whose pressure cannot be read", () => {
  expect(errorOf(() => gaugeFrom("csv:", "1", undefined)).message).toMatch(/^--resolution: "1" /);
  expect(errorOf(() => gaugeFrom("csv:", undefined, "lots")).message).toMatch(/^--accuracy: "lots" /);
});
