import { dirname, join } from "node:path";
import { describe, expect, it } from "vitest";
import { records } from "../../src/commands/records.ts";
import { review } from "../../src/commands/review.ts";
import { openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { reviewsOf } from "../../src/storage/reviews.ts";
import { rejectionOf } from "../support/errors.ts";
import { type TestIo, testIo } from "../support/io.ts";
import { sampleEnd, sampleStart } from "../support/records.ts";
import { sealedBench, sealedRecord } from "../support/sealed.ts";

const EVIL = "S1\u001b[2J\u001b]0;gotcha\u0007\nx\u202etxt";

/** Controls but line ends, a mark that turns text round, and what an escape sequence hid. */
const HARMFUL = /[^\P{Cc}\n]|\u202e|gotcha/u;

/** A sealed pass, an unsealed simulated fail, and one that broke off. */
async function filled(): Promise<string> {
  const bench = sealedBench();
  await sealedRecord(bench, "20260301-080000-aaaa", []);
  const fail = sampleStart({ id: "20260302-080000-bbbb", source: "simulated", stage: "covered", started_wall_ms: Date.UTC(2026, 2, 2) });
  insertEnd(bench.archive.db, insertStart(bench.archive.db, fail), sampleEnd(fail, { verdict: "fail" }));
  insertStart(
    bench.archive.db,
    sampleStart({ id: "20260303-080000-cccc", started_wall_ms: Date.UTC(2026, 2, 3), section: { ...fail.section, id: EVIL } }),
  );
  bench.archive.close();
  return bench.archive.path;
}

async function run(words: string[], path: string, now_wall_ms: number | null = null): Promise<TestIo> {
  const io = testIo();
  if (now_wall_ms !== null) io.clock.stepWall(now_wall_ms - io.clock.wall_ms());
  const options = review.parse(words, io);
  const key = join(dirname(path), "key", "private.pem");
  if (options !== null) expect(await review.run(options, { io, archive: path, key, program: "staunch test" })).toBe(0);
  return io;
}

describe("review list", () => {
  it.each([
    [["list"], "cba"],
    [["list", "pass"], "a"],
    [["list", "simulated", "covered"], "b"],
    [["list", "not:pass", "--sort", "oldest"], "bc"],
    [["list", "--limit", "1"], "c"],
    [["pass"], "a"],
    [[], "cba"],
  ] as const)("%j", async (words, wanted) => {
    const io = await run([...words], await filled());
    expect((io.outText.join("\n").match(/[abc]{4}(?=\s)/g) ?? []).map((tail) => tail.slice(0, 1)).join("")).toBe(wanted);
    expect(io.outText.join("\n")).not.toMatch(HARMFUL);
  });

  it.each([
    ["since:25h", "cb"],
    ["since:1d", "c"],
    ["until:1d", "ba"],
  ])("%s counts from now", async (word, wanted) => {
    const io = await run(["list", word], await filled(), Date.UTC(2026, 2, 3, 1));
    expect((io.outText.join("\n").match(/[abc]{4}(?=\s)/g) ?? []).map((tail) => tail.slice(0, 1)).join("")).toBe(wanted);
  });

  it("is one JSON object, hidden characters escaped", async () => {
    const text = (await run(["list", "--json"], await filled())).outText.join("\n");
    expect(JSON.parse(text)).toMatchObject({
      schema: "staunch/review-list/1",
      found: 3,
      records: [{ section: EVIL }, { word: "fail" }, { state: "unreviewed" }],
    });
    expect(text).not.toMatch(/[^\P{Cc}\n]|\u202e/u);
  });

  it("says so when nothing fits", async () => {
    const io = await run(["list", "nowhere"], await filled());
    expect([io.outText, io.errText.join("")]).toEqual([[], expect.stringContaining("No record fits")]);
  });
});

describe("accept, return and note", () => {
  it("are appended and sealed, and shown with the record", async () => {
    const path = await filled();
    const io = await run(["accept", "aaaa", "--by", "M. Reed", "--reason", "both ends seen"], path);
    expect(io.outText[0]).toBe("20260301-080000-aaaa accepted by M. Reed: both ends seen");
    expect(io.outText[1]).toMatch(/names the record's seal [0-9a-f]{16}…/);
    await run(["note", "aaaa", "photos", "on", "the drive", "--by", `M${EVIL}`], path);
    const back = await run(["return", "bbbb", "--by", "M. Reed", "--reason", EVIL], path);
    expect(back.outText.join("\n")).toContain("SIMULATED: proves no section");
    expect(back.outText.join("\n")).not.toMatch(HARMFUL);
    const archive = openArchive(path, { mode: "read" });
    expect(reviewsOf(archive, "20260301-080000-aaaa").map((one) => [one.word, one.reason, one.intact])).toEqual([
      ["accept", "both ends seen", true],
      ["note", "photos on the drive", true],
    ]);
    archive.close();
    const shown = testIo();
    await records.run({ ask: "show", id: "aaaa", json: false }, { io: shown, archive: path, program: "" });
    expect(shown.outText.join("\n")).toMatch(
      /^review \d{4}-\d\d-\d\d \d\d:\d\d: 20260301-080000-aaaa accepted by M\. Reed: both ends seen$/m,
    );
    expect(shown.outText.join("\n")).not.toMatch(HARMFUL);
    expect((await run(["list", "accepted"], path)).outText.join()).toContain("aaaa");
  });

  it.each([
    [["accept", "aaaa"], "missing-mandatory-option-value"],
    [["accept", "aaaa", "--by", "  "], "review-empty"],
    [["return", "aaaa", "--by", "M"], "review-empty"],
    [["return", "aaaa", "--by", "M", "--reason", "x".repeat(3000)], "review-long"],
    [["note", "aaaa", "--by", "M"], "missing-argument"],
    [["accept", "cccc", "--by", "M"], "review-open"],
    [["accept", "nobody", "--by", "M"], "record-unknown"],
    [["list", "--sort", "colour"], "sort-unknown"],
    [["list", "--limit", "0"], "limit-unreadable"],
    [["summary", "--by", "moon"], "group-unknown"],
    [["list", "--colour"], "unknown-option"],
  ] as const)("%j is refused: %s", async (words, code) => {
    const path = await filled();
    expect(await rejectionOf(run([...words], path))).toMatchObject({ code, exit: 64 });
  });

  it("makes no archive where there is none", async () => {
    const path = join(dirname(await filled()), "none.staunch");
    expect(await rejectionOf(run(["accept", "x", "--by", "M"], path))).toMatchObject({ code: "archive-missing" });
    expect(await rejectionOf(run(["list"], path))).toMatchObject({ code: "archive-missing" });
  });
});

it("review summary counts by what is asked", async () => {
  const path = await filled();
  expect((await run(["summary", "--by", "week"], path)).outText.join("\n")).toMatch(/2026-W10 +1 +0 +0/);
  const json = JSON.parse((await run(["summary", "--by", "gauge", "--json"], path)).outText.join(""));
  expect(json).toMatchObject({
    schema: "staunch/review-summary/1",
    by: "gauge",
    counted: "proving",
    groups: [{ name: "scpi", tests: 2, pass: 1, fail: 0, open: 1, notProving: 1, first: { of: 1, passed: 1 } }],
    zeros: [],
    zeros_sealed: false,
  });
  const simulated = (await run(["summary", "simulated"], path)).outText.join("\n");
  expect(simulated).toContain("NOTHING HERE WAS READ FROM A GAUGE");
  expect(simulated).toMatch(/R\. Tarn +1 +0 +1/);
});
