/** Bad input through the built program: each a sentence with its code on stderr, the right exit code, nothing on stdout, no stack. */
import { chmodSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { runProgram } from "../support/program.ts";

let folder = "";
const at = (name: string): string => join(folder, name);
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "staunch-bad-"));
});
afterAll(() => {
  chmodSync(folder, 0o755);
  rmSync(folder, { recursive: true, force: true });
});

const LC = ["--method", "en1610-lc", "--dn", "150"];
const SIM = ["test", "--gauge", "sim://?leak=0.5&seed=7", "--pace", "5000", "--plain"];

/** Runs it and expects a refusal in the house's form. */
async function refused(words: readonly string[], exit: number, code: string): Promise<string> {
  const { code: ended, out, err } = await runProgram(words, { STAUNCH_DEBUG: "" });
  expect({ ended, out, code: /\(([a-z0-9-]+)\)\s*$/.exec(err)?.[1] }, err).toEqual({ ended: exit, out: "", code });
  expect(err).not.toMatch(/^\s+at .+:\d+|node:internal/m);
  return err;
}

const RISING = Array.from({ length: 60 }, (_, i) => `${i},${100 * i}`).join("\n");

describe("readings", () => {
  it.each([
    ["empty", "", "csv-empty"],
    ["header-only", "time_s,pressure_Pa\n", "csv-empty"],
    ["wrong-unit", `time_s,pressure_furlong\n${RISING}\n`, "csv-unit"],
    ["not-a-number", `time_s,pressure_Pa\n${RISING}\n60,NaN\n`, "csv-number"],
    ["cut-off", `time_s,pressure_Pa\n${RISING}\n60`, "csv-fields"],
    ["1e9-Pa", `time_s,pressure_Pa\n${RISING}\n60,1e9\n`, "csv-value-absurd"],
    ["binary", Buffer.from(Array.from({ length: 4096 }, (_, i) => (i * 73) % 256)), "csv-binary"],
  ])("%s", async (name, text, code) => {
    const file = at(`${name}.csv`);
    writeFileSync(file, text);
    expect(await refused(["judge", file, ...LC, "--json"], 65, code)).toContain(`${name}.csv`);
    await refused(["replay", file, ...LC, "--json"], 65, code);
  });

  it.each([
    ["time running backwards", `${RISING}\n30,50\n29,50`],
    ["one stamp for all", RISING.replaceAll(/^\d+,/gm, "5,")],
  ])("%s is judged, and proves nothing", async (name, rows) => {
    const file = at(`${name.replaceAll(" ", "-")}.csv`);
    writeFileSync(file, `time_s,pressure_Pa\n${rows}\n`);
    const { code, out } = await runProgram(["judge", file, ...LC, "--json"]);
    expect({ code, verdict: (JSON.parse(out) as { verdict: string }).verdict }).toEqual({ code: 2, verdict: "void" });
  });
});

const METHOD = {
  id: "own",
  title: "Our own",
  source: "made up",
  medium: "air",
  stop: "fixed-time",
  charge: "1100 Pa",
  settle: "20 s",
  test: "1000 Pa",
  hold: "30 s",
  permittedDrop: "250 Pa",
  boundary: "less-or-equal",
};

it("a device that never ends is read no further than any file goes", async () => {
  await refused(["judge", "/dev/zero", ...LC], 65, "file-too-large");
});

describe("a method file", () => {
  it.each([
    ["without its hold", { ...METHOD, hold: undefined }, "method-field", "hold"],
    ["with an absurd charge", { ...METHOD, charge: "90 bar" }, "method-field", "charge"],
    ["with a unit nobody knows", { ...METHOD, test: "3 furlongs" }, "method-field", "test"],
    ["with a field of somebody else's", { ...METHOD, colour: "blue" }, "method-field", "colour"],
  ])("%s", async (name, method, code, field) => {
    const file = at(`${name.replaceAll(/\W/g, "-")}.json`);
    writeFileSync(file, JSON.stringify(method));
    expect(await refused([...SIM, "--archive", at("methods.staunch"), "--method", file, "--dn", "150"], 65, code)).toContain(field);
  });

  it("that is not JSON", async () => {
    writeFileSync(at("broken.json"), "{");
    await refused(["methods", "check", at("broken.json")], 65, "method-json");
  });
});

describe("words of the command line", () => {
  it.each([
    [["--dn", "3 furlongs"], "dn-unreadable"],
    [["--dn", "150", "--material", "cheese"], "material-unknown"],
  ])("%j", async (words, code) => {
    await refused([...SIM, "--archive", at("words.staunch"), "--method", "en1610-lc", ...words], 64, code);
  });
});

describe("an archive", () => {
  const withArchive = (path: string): string[] => [...SIM, ...LC, "--archive", path];

  it("that is not one", async () => {
    writeFileSync(at("letter.staunch"), "Dear Sir or Madam, ".repeat(100));
    await refused(withArchive(at("letter.staunch")), 65, "not-an-archive");
    await refused(["records", "list", "--archive", at("letter.staunch")], 65, "not-an-archive");
  });

  it("of a newer version", async () => {
    const path = at("newer.staunch");
    expect((await runProgram(withArchive(path))).code).toBe(0);
    const db = new Database(path);
    db.pragma("user_version = 9999");
    db.close();
    await refused(withArchive(path), 65, "archive-newer");
    await refused(["records", "list", "--archive", path], 65, "archive-newer");
  });

  it("locked by another program while it should be opened for a test: the record of before is still there", async () => {
    const path = at("locked.staunch");
    expect((await runProgram(withArchive(path))).code).toBe(0);
    const db = new Database(path);
    db.exec("begin exclusive");
    const { code, err } = await runProgram(withArchive(path));
    db.exec("rollback");
    expect([0, 74]).toContain(code);
    expect(err).not.toContain("(defect)");
    expect(db.prepare("select count(*) from records").pluck().get()).toBeGreaterThanOrEqual(1);
    db.close();
  });

  it("in a folder that is a file", async () => {
    writeFileSync(at("file"), "no folder");
    await refused(withArchive(join(at("file"), "here.staunch")), 74, "archive-cannot-open");
  });

  it("on a full disk", async () => {
    await refused(withArchive("/dev/full"), 74, "archive-full");
  });
});
