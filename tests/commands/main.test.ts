import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { CommandEntry } from "../../src/commands/command.ts";
import { explain, type Program, runWords } from "../../src/commands/frame.ts";
import { COMMANDS } from "../../src/commands/index.ts";
import { StaunchError, usageError } from "../../src/core/errors.ts";
import { nearest } from "../../src/core/nearest.ts";
import { rejectionOf } from "../support/errors.ts";
import { testIo } from "../support/io.ts";

/** A command that says what reached it. */
function echo(name: string): CommandEntry {
  return {
    name,
    summary: `echoes ${name}`,
    load: async () => ({
      parse: (words, io) => {
        if (!words.includes("--help")) return words;
        io.out(`help of ${name}`);
        return null;
      },
      run: async (words, { io, archive, key, program }) => {
        io.out(JSON.stringify({ name, words, archive, key, program }));
        return 2;
      },
    }),
  };
}

const program: Program = {
  version: "9.9.9",
  commands: [echo("judge"), echo("methods")],
  defaultArchive: async () => "/data/default.sqlite",
};

async function run(words: readonly string[], env: Record<string, string> = {}) {
  const io = testIo({ env });
  const exit = await runWords(words, io, program);
  return { exit, out: io.outText.join("\n"), err: io.errText.join("\n") };
}

const echoed = async (words: readonly string[], env: Record<string, string> = {}) =>
  JSON.parse((await run(words, env)).out) as { words: string[]; archive: string; key: string; program: string };

describe("the frame", () => {
  it.each([[["--help"]], [["-h"]], [["help"]]])("%j lists every command on stdout", async (words) => {
    const { exit, out, err } = await run(words);
    expect(exit).toBe(0);
    expect(out).toMatch(/judge +echoes judge/);
    expect(out).toMatch(/Example:\n {2}staunch /);
    expect(err).toBe("");
  });

  it("says its version", async () => {
    expect(await run(["--version"])).toEqual({ exit: 0, out: "9.9.9", err: "" });
  });

  it("without a command gives a short status", async () => {
    const { exit, out } = await run([]);
    expect(exit).toBe(0);
    expect(out.split("\n").length).toBeLessThanOrEqual(3);
  });

  it("hands on words, archive and program, and gives back the exit code", async () => {
    const { exit, out } = await run(["judge", "a.csv", "--json"]);
    expect(exit).toBe(2);
    expect(JSON.parse(out)).toEqual({
      name: "judge",
      words: ["a.csv", "--json"],
      archive: "/data/default.sqlite",
      key: join("/data", "key", "private.pem"),
      program: "staunch 9.9.9",
    });
  });

  it("takes the archive from the option wherever it stands, then the environment, then the machine", async () => {
    const env = { STAUNCH_ARCHIVE: "/env.sqlite" };
    expect((await echoed(["--archive", "a.sqlite", "judge"], env)).archive).toBe("a.sqlite");
    expect((await echoed(["judge", "x", "--archive=b.sqlite"], env)).archive).toBe("b.sqlite");
    expect((await echoed(["judge"], env)).archive).toBe("/env.sqlite");
    expect((await echoed(["judge"], { STAUNCH_ARCHIVE: "" })).archive).toBe("/data/default.sqlite");
  });

  it("takes the key from the environment, then from the machine, whatever the archive is", async () => {
    const own = join("/data", "key", "private.pem");
    expect((await echoed(["judge"], { STAUNCH_KEY: "/env.pem" })).key).toBe("/env.pem");
    expect((await echoed(["--archive", "a.sqlite", "judge"], { STAUNCH_KEY: "" })).key).toBe(own);
  });

  it("leaves words after -- alone", async () => {
    expect((await echoed(["judge", "--", "--archive", "x"])).words).toEqual(["--", "--archive", "x"]);
  });

  it.each([[["help", "judge"]], [["--help", "judge"]], [["judge", "--help"]]])("%j shows the command's own help", async (words) => {
    expect(await run(words)).toEqual({ exit: 0, out: "help of judge", err: "" });
  });

  it.each([
    [["juge"], "unknown-command", /Did you mean judge/],
    [["meth"], "unknown-command", /Did you mean methods/],
    [["zzz"], "unknown-command", /staunch --help/],
    [["--verson"], "unknown-option", /Did you mean --version/],
    [["--archive"], "option-missing-argument", /path/],
    [["\u001b[2Jx"], "unknown-command", /staunch --help/],
  ])("refuses %j", async (words, code, hint) => {
    const error = await rejectionOf(runWords(words, testIo(), program));
    expect({ code: error.code, exit: error.exit }).toEqual({ code, exit: 64 });
    expect(error.hint).toMatch(hint);
  });
});

describe("the list", () => {
  it("has each name once, and every command can be loaded and explains itself with an example", async () => {
    expect(new Set(COMMANDS.map(({ name }) => name)).size).toBe(COMMANDS.length);
    for (const { name, load } of COMMANDS) {
      const io = testIo();
      const command = await load();
      expect(command.parse(["--help"], io), name).toBeNull();
      expect(io.outText.join("\n"), name).toMatch(/Examples?:\n {2}staunch /);
    }
  });

  it("refuses an unknown option in every command with exit code 64", async () => {
    for (const { load } of COMMANDS) {
      const command = await load();
      const error = await rejectionOf(Promise.resolve().then(() => command.parse(["--no-such-thing"], testIo())));
      expect(error.exit).toBe(64);
    }
  });
});

describe("explain", () => {
  it("gives sentence, hint and code of an error meant for people", () => {
    expect(explain(usageError("dn-missing", "No DN was given.", "Add --dn 300."), {})).toEqual({
      text: "staunch: No DN was given.\n  Add --dn 300.\n  (dn-missing)",
      exit: 64,
    });
  });

  it("shows no stack for a defect unless asked", () => {
    const defect = new TypeError("undefined is not a function");
    const { text, exit } = explain(defect, {});
    expect(exit).toBe(70);
    expect(text).not.toContain("undefined is not a function");
    expect(text).not.toMatch(/\bat /);
    expect(explain(defect, { STAUNCH_DEBUG: "1" }).text).toMatch(/undefined is not a function[\s\S]* at /);
    expect(explain("thrown text", {}).exit).toBe(70);
  });

  it("lets no control character through", () => {
    const error = new StaunchError({ code: "x", message: "bad \u001b[31mname\u0007\nsecond line", hint: "\u009bJ", exit: 65 });
    // biome-ignore lint/suspicious/noControlCharactersInRegex: looking for control characters is the point
    expect(explain(error, {}).text).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f]/);
    expect(explain(error, {}).text.split("\n")).toHaveLength(3);
  });
});

describe("nearest", () => {
  it.each([
    ["replya", "replay"],
    ["record", "records"],
    ["JUDGE", "judge"],
    ["tset", "test"],
    ["rec", "records"],
    ["x", undefined],
    ["", undefined],
    ["banana", undefined],
  ])("%s → %s", (word, expected) => {
    expect(nearest(word, ["test", "judge", "replay", "records"])).toBe(expected);
  });
});
