/** `handover` and `merge` as people run them: words, exit codes, JSON. */
import { existsSync, linkSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { type HandoverOptions, handover } from "../../src/commands/handover.ts";
import { type MergeOptions, merge } from "../../src/commands/merge.ts";
import { openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { temporaryFolder } from "../support/archives.ts";
import { rejectionOf } from "../support/errors.ts";
import { testIo } from "../support/io.ts";
import { bend, crew, ids } from "../support/merging.ts";
import { sampleEnd, sampleStart } from "../support/records.ts";

const PROGRAM = "staunch test";
const place = (name: string): string => join(temporaryFolder(), name);

async function give(archive: string, options: Partial<HandoverOptions>) {
  const io = testIo();
  const exit = await handover.run({ records: [], ...options }, { io, archive, program: PROGRAM });
  return { exit, out: io.outText.join("\n"), err: io.errText.join("\n") };
}

async function take(archive: string, options: Partial<MergeOptions>) {
  const io = testIo();
  const exit = await merge.run({ files: [], ...options }, { io, archive, program: PROGRAM });
  return { exit, out: io.outText.join("\n"), err: io.errText.join("\n") };
}

describe("handover", () => {
  it("takes records by id, by section, the last or all, and says what was made", async () => {
    const a = await crew("one", "two");
    const asked: [Partial<HandoverOptions>, string[]][] = [
      [{ records: ["one"] }, ["one"]],
      [{ records: ["last"] }, ["two"]],
      [{ records: ["all"] }, ["one", "two"]],
      [{ section: "Elderbrook S3-S4" }, ["one", "two"]],
    ];
    for (const [options, wanted] of asked) {
      const output = place("given.staunch");
      const { exit, out } = await give(a.path, { ...options, output });
      expect(out).toMatch(new RegExp(`^${wanted.length} records? handed over in .*given\\.staunch \\(\\d+ kB\\)\\.$`));
      expect(exit).toBe(0);
      const given = openArchive(output, { mode: "read" });
      expect(ids(given)).toEqual(wanted);
      given.close();
    }
  });

  it("names what carries no seal and what has no end", async () => {
    const [path, output] = [place("here.staunch"), place("given.staunch")];
    const here = openArchive(path, { mode: "write" });
    const [ended, open] = [sampleStart({ id: "ended" }), sampleStart({ id: "open" })];
    insertEnd(here.db, insertStart(here.db, ended), sampleEnd(ended));
    insertStart(here.db, open);
    here.close();
    const one = await give(path, { records: ["ended"], output });
    expect(one.err).toBe("staunch: 1 record carries no seal and proves nothing by itself: ended.");
    expect(one.exit).toBe(0);
    const both = await give(path, { records: ["all"], output, force: true });
    expect(both.err.split("\n")).toEqual([
      "staunch: 2 records carry no seal and prove nothing by themselves: ended, open.",
      "staunch: 1 of them has no end yet; merge will not take it: open.",
    ]);
  });

  it("of a sealed record whose key was deleted says altered, never that it had no seal", async () => {
    const a = await crew("one");
    bend(a.path, "delete from keys");
    const { exit, err } = await give(a.path, { records: ["all"], output: place("given.staunch") });
    expect(err).toMatch(/^staunch: one is ALTERED and was handed over as it lies: /);
    expect(exit).toBe(1);
  });

  it("of an altered record is 1 and names it; nothing asked for, nothing that fits and no file to make are 64", async () => {
    const a = await crew("one");
    const output = place("given.staunch");
    expect(await rejectionOf(give(a.path, { output }))).toMatchObject({ code: "records-missing", exit: 64 });
    expect(await rejectionOf(give(a.path, { records: ["all"] }))).toMatchObject({ code: "output-missing", exit: 64 });
    expect(await rejectionOf(give(a.path, { section: "S99", output }))).toMatchObject({ code: "records-none", exit: 64 });
    expect(existsSync(output)).toBe(false);
    bend(a.path, "update ends set word = 'fail'");
    const { exit, err } = await give(a.path, { records: ["all"], output });
    expect(err).toContain(
      "one is ALTERED and was handed over as it lies: the verdict's word in the list of records is not the sealed one.",
    );
    expect(exit).toBe(1);
  });
});

describe("merge", () => {
  it("takes many files; one that is refused keeps no other from being taken, and gives the exit code", async () => {
    const [a, b] = [await crew("one"), await crew("two")];
    const [into, letter] = [place("office.staunch"), place("letter.txt")];
    writeFileSync(letter, "a letter");
    const { exit, out, err } = await take(into, { files: [a.path, letter, b.path] });
    expect(out).toContain(`${a.path}: 1 taken.\n  key ${a.key.fingerprint} sealed 1\n${b.path}: 1 taken.`);
    expect(err).toContain("(not-an-archive)");
    expect(exit).toBe(65);
    const again = await take(into, { files: [b.path, a.path], json: true });
    expect(again.exit).toBe(0);
    expect(JSON.parse(again.out)).toMatchObject({
      schema: "staunch/merged/1",
      files: [
        { file: b.path, error: null, taken: 0, already: 1 },
        { file: a.path, error: null, taken: 0, already: 1 },
      ],
    });
  });

  it("that refuses a record is 1 and says which and why; told to, it takes what was altered and says so", async () => {
    const a = await crew("one", "two");
    bend(a.path, "update ends set word = 'fail' where record = 1");
    const into = place("office.staunch");
    const first = await take(into, { files: [a.path] });
    expect(first.out).toContain(": 1 taken, 1 REFUSED.");
    expect(first.out).toContain("  refused one: the verdict's word in the list of records is not the sealed one (altered)");
    expect(first.exit).toBe(1);
    const told = await take(into, { files: [a.path], takeAltered: true });
    expect(told.out).toContain("  ALTERED one, taken and marked: the verdict's word in the list of records is not the sealed one");
    expect(told.exit).toBe(0);
  });

  it("of an archive into itself is 64, by whatever link it is named", async () => {
    const a = await crew("one");
    const link = place("link.staunch");
    symlinkSync(a.path, link);
    for (const file of [a.path, link])
      expect(await rejectionOf(take(a.path, { files: [file] }))).toMatchObject({ code: "same-file", exit: 64 });
    const hard = place("hard.staunch");
    linkSync(a.path, hard);
    expect((await take(a.path, { files: [hard] })).out).toContain("0 taken, 1 here already.");
  });
});
