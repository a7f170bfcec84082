import { dirname, join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { records } from "../../src/commands/records.ts";
import { review } from "../../src/commands/review.ts";
import { openAnew, openRecord } from "../../src/commands/reviewOpen.ts";
import { verify } from "../../src/commands/verify.ts";
import { isStaunchError } from "../../src/core/errors.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { openArchive } from "../../src/storage/open.ts";
import { insertEnd } from "../../src/storage/recordRows.ts";
import { reviewBook } from "../../src/storage/reviewLines.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { testIo } from "../support/io.ts";
import { everyKind, sampleEnd, sampleStart } from "../support/records.ts";
import { sealedBench } from "../support/sealed.ts";

/** A sealed fail of S1, its lines kept for lists; then whatever `sql` does to it, as anybody with a tool for SQLite can. */
async function touched(sql: string): Promise<string> {
  const { archive, sealing } = sealedBench();
  const start = sampleStart({ id: "r1", section: { ...sampleStart().section, id: "S1" } });
  const writer = createRecord(archive, start, new QueueClock(), sealing);
  for (const event of everyKind()) writer.append(event);
  await writer.end(sampleEnd(start, { verdict: "fail" }));
  reviewBook(archive, () => "2026-03-01");
  archive.close();
  const db = new Database(archive.path);
  db.exec(sql);
  db.close();
  return archive.path;
}

async function said(command: typeof records | typeof review | typeof verify, words: string[], path: string) {
  const io = testIo();
  const options = (command as typeof records).parse(words, io);
  const key = join(dirname(path), "key", "private.pem");
  if (options === null) throw new Error("help");
  const exit = await (command as typeof records).run(options, { io, archive: path, key, program: "staunch test" });
  return { exit, out: io.outText.join("\n"), err: io.errText.join("\n") };
}

const TO_PASS = `update ends set word = 'pass', verdict = replace(verdict, '"verdict":"fail"', '"verdict":"pass"')`;
const HITS: readonly [string, string][] = [
  ["the word in the list", "update ends set word = 'pass'"],
  ["the verdict, its word and the line", `${TO_PASS}; update review_lines set word = 'pass'`],
  ["the section", "update records set section = 'S2'; update review_lines set section = 'S2'"],
  ["the start", "update records set start = replace(start, 'R. Tarn', 'M. Reed')"],
  ["the head", "update seals set head = cast(replace(cast(head as text), '\"fail\"', '\"pass\"') as blob)"],
  ["the signature", "update seals set signature = zeroblob(64)"],
];

describe.each(HITS)("altered by hand: %s", (_, sql) => {
  it("is found by the search for what was altered", async () => {
    const path = await touched(sql);
    expect((await said(review, ["list", "altered"], path)).out).toMatch(/^r1 .*ALTERED/);
    expect((await said(review, ["list", "not:altered"], path)).out).toBe("");
    expect((await said(review, ["summary", "--by", "tester", "altered"], path)).out).not.toBe("");
  });

  it("lists, pages and reviews say so and show no verdict; verify finds it", async () => {
    const path = await touched(sql);
    const shown = await said(records, ["show", "r1"], path);
    expect([shown.exit, shown.out.split("\n")[0]]).toEqual([1, expect.stringMatching(/^ALTERED: /)]);
    expect(shown.out).not.toMatch(/PASS|FAIL/);
    expect(JSON.parse((await said(records, ["show", "r1", "--json"], path)).out)).toMatchObject({ state: "altered", verdict: null });
    const list = await said(records, ["list"], path);
    expect(list.out).toMatch(/ALTERED/);
    expect(list.out).not.toMatch(/PASS|FAIL/);
    expect(list.err).toContain("not what was sealed");
    const reviewed = await said(review, ["list"], path);
    expect(reviewed.out).toMatch(/ALTERED +--/);
    expect(reviewed.out).not.toMatch(/PASS|FAIL/);
    expect((await said(review, ["summary"], path)).out).toMatch(/ 0 +0 +0 .* 1$/m);
    await expect(said(review, ["accept", "r1", "--by", "M"], path)).rejects.toMatchObject({ code: "review-altered" });
    expect((await said(verify, [], path)).exit).toBe(1);
    const archive = openArchive(path, { mode: "read" });
    expect(openRecord(archive, "r1").altered).not.toBeNull();
    archive.close();
  });
});

describe("what is kept for lists alone", () => {
  it.each([
    ["word", "update review_lines set word = 'pass'"],
    ["section", "update review_lines set section = 'S9', tester = 'M. Reed'"],
    ["codes and state", "update review_lines set codes = 'spikes', state = 'accepted', drop_part = 0.1"],
  ])("%s is made again from the record", async (_, sql) => {
    const [before, after] = [await touched("select 1"), await touched(sql)];
    const wanted = (await said(review, ["list"], before)).out;
    expect(wanted).toContain("FAIL");
    expect((await said(review, ["list"], after)).out).toBe(wanted);
    expect((await said(review, ["summary"], after)).out).toBe((await said(review, ["summary"], before)).out);
    expect((await said(review, ["list", "pass"], after)).err).toContain("No record fits");
  });

  it("a second opinion put there by hand is not believed when a record is looked at closely", async () => {
    const path = await touched("select 1");
    const writing = openArchive(path, { mode: "write" });
    const made = openRecord(writing, "r1").second;
    const forged = JSON.stringify({ ...sampleEnd(sampleStart()).verdict, judge: "whole-curve" });
    writing.db.prepare("update review_curves set second = ?").run(forged);
    expect(openRecord(writing, "r1").second?.verdict).toBe("pass");
    expect(openAnew(writing, "r1").second).toEqual(made);
    expect(openRecord(writing, "r1").second).toEqual(made);
    writing.close();
  });
});

it("a record whose seal was taken away is shown as unsealed", async () => {
  const path = await touched("delete from blocks; delete from seals");
  for (const command of [records, review]) expect((await said(command, ["list"], path)).out).toContain("UNSEALED");
  const archive = openArchive(path, { mode: "write" });
  archive.db.prepare("delete from ends").run();
  insertEnd(archive.db, 1, sampleEnd(sampleStart({ id: "r1" })));
  archive.close();
  const shown = await said(records, ["show", "r1"], path).catch((error: unknown) => (isStaunchError(error) ? error.code : "thrown"));
  expect(typeof shown === "string" ? shown : shown.out).toContain("UNSEALED");
});

describe("a line kept for lists, altered by hand", () => {
  it.each(["word = 'pass'", "tester = 'nobody'", "section = 'S9', word = 'open'"])("%s: hides no record from a search", async (set) => {
    const path = await touched(`update review_lines set ${set}`);
    const list = await said(review, ["list", "verdict:fail", "section:S1", "tester:tarn"], path);
    expect(list.out).toMatch(/^r1 .*FAIL/);
    expect((await said(review, ["list", "pass"], path)).out).toBe("");
  });
});
