import { expect, it } from "vitest";
import { find } from "../../src/core/review/find.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { curvesToMake, keepCurve, keptCurve } from "../../src/storage/reviewCurves.ts";
import { refreshLines, reviewBook } from "../../src/storage/reviewLines.ts";
import { openForReview } from "../../src/storage/reviewOpen.ts";
import { appendReview, reviewsOf } from "../../src/storage/reviews.ts";
import { standings } from "../../src/storage/standings.ts";
import { everyKind, sampleEnd, sampleStart, sampleVerdict } from "../support/records.ts";
import { reviewCurve } from "../support/review.ts";
import { type SealedBench, sealedBench, sealedRecord } from "../support/sealed.ts";

const dayOf = (wall_ms: number): string => new Date(wall_ms).toISOString().slice(0, 10);
const said = { word: "accept", by: "M. Reed", reason: "both ends seen", wall_ms: 5 } as const;
const idsOf = (bench: SealedBench, typed: string): string[] => {
  const book = reviewBook(bench.archive, dayOf);
  return Array.from(find(book, typed, "newest"), (row) => book.text(row, "id")).sort();
};

it("what a supervisor says is sealed, names the record's seal and changes nothing before it", async () => {
  const bench = sealedBench();
  await sealedRecord(bench, "r1");
  const before = bench.archive.db.prepare("select * from seals").all();
  const review = appendReview(bench.archive, bench.key, "r1", said);
  expect(review.seal).toMatch(/^[0-9a-f]{64}$/);
  appendReview(bench.archive, bench.key, "r1", { ...said, word: "return", reason: "hose wet", wall_ms: 6 });
  expect(bench.archive.db.prepare("select * from seals limit 1").all()).toEqual(before);
  expect(reviewsOf(bench.archive, "r1").map(({ word, by, reason, intact }) => [word, by, reason, intact])).toEqual([
    ["accept", "M. Reed", "both ends seen", true],
    ["return", "M. Reed", "hose wet", true],
  ]);
  expect(idsOf(bench, "returned")).toEqual(["r1"]);
});

it("every byte of a review that is changed afterwards makes it count for nothing", async () => {
  const bench = sealedBench();
  await sealedRecord(bench, "r1");
  appendReview(bench.archive, bench.key, "r1", said);
  const { db } = bench.archive;
  const head = db.prepare<[], Uint8Array>("select head from seals where kind = 'review'").pluck().get() ?? new Uint8Array();
  for (let at = 0; at < head.length; at++) {
    const changed = Uint8Array.from(head);
    changed[at] = (changed[at] ?? 0) ^ 1;
    db.prepare("update seals set head = ? where kind = 'review'").run(changed);
    expect(reviewsOf(bench.archive, "r1").filter((one) => one.intact)).toEqual([]);
  }
  expect(head.length).toBeGreaterThan(200);
});

it("a record that was altered takes no review", async () => {
  const bench = sealedBench();
  await sealedRecord(bench, "r1");
  bench.archive.db.prepare("update blocks set bytes = zeroblob(length(bytes))").run();
  expect(() => appendReview(bench.archive, bench.key, "r1", said)).toThrow(expect.objectContaining({ code: "review-altered" }));
  expect(reviewsOf(bench.archive, "r1")).toEqual([]);
});

it("a record that ended without a seal is sealed before it is reviewed, so that the review holds to it", async () => {
  const { archive, key } = sealedBench();
  await sealedRecord({ archive, sealing: null }, "r1");
  const first = appendReview(archive, key, "r1", said);
  const again = appendReview(archive, key, "r1", { ...said, wall_ms: 6 });
  expect([first.sealedNow, again.sealedNow, again.seal === first.seal]).toEqual([true, false, true]);
  const looked = [...standings(archive, new Set([key.fingerprint]))];
  expect(looked.map(({ kind, standing }) => [kind, standing.standing])).toEqual([
    ["record", "intact"],
    ["review", "intact"],
    ["review", "intact"],
  ]);
  // A review that names another seal than its record's is what verify calls altered.
  expect(Buffer.from(looked[0]?.found?.sealed.seal ?? []).toString("hex")).toBe(first.seal);
  expect(readJournal(archive, 1)).toEqual(everyKind());
  archive.db.prepare("update ends set word = 'fail'").run();
  expect(() => appendReview(archive, key, "r1", said)).toThrow(expect.objectContaining({ code: "review-altered", exit: 65 }));
});

it("a record without an end gets neither seal nor review", () => {
  const { archive, key } = sealedBench();
  const start = sampleStart();
  insertStart(archive.db, start);
  expect(() => appendReview(archive, key, start.id, said)).toThrow(expect.objectContaining({ code: "review-unsealed" }));
  expect(archive.db.prepare("select count(*) from seals").pluck().get()).toBe(0);
});

it("lines follow records, ends and second opinions, and can be thrown away", () => {
  const bench = sealedBench();
  const { archive } = bench;
  const [one, two] = [sampleStart({ id: "one" }), sampleStart({ id: "two", tester: null, source: "simulated" })];
  const number = insertStart(archive.db, one);
  insertStart(archive.db, two);
  expect(idsOf(bench, "open")).toEqual(["one", "two"]);
  insertEnd(archive.db, number, sampleEnd(one));
  expect(idsOf(bench, "open")).toEqual(["two"]);
  const second = { ...sampleVerdict(one), verdict: "void" as const, judge: "whole-curve" as const };
  keepCurve(archive, number, sampleVerdict(one), { curve: reviewCurve(), second });
  expect(idsOf(bench, "differs second:void")).toEqual(["one"]);
  const whole = reviewBook(archive, dayOf);
  archive.db.exec("delete from review_lines");
  const again = reviewBook(archive, dayOf);
  expect([0, 1].map((row) => again.row(row))).toEqual([0, 1].map((row) => whole.row(row)));
});

it("a line whose words are none of ours shows what claims least, and never the words themselves", () => {
  const { archive } = sealedBench();
  const start = sampleStart({ id: "one" });
  insertEnd(archive.db, insertStart(archive.db, start), sampleEnd(start));
  refreshLines(archive);
  archive.db.exec("update review_lines set source = 'GAUGE', word = 'passed', second = 'pass\n', state = char(27) || '[2Jaccepted'");
  expect(reviewBook(archive, dayOf).row(0)).toMatchObject({ source: "imported", word: "open", second: "", state: "unreviewed" });
});

it("a kept curve comes back to the last bit; a torn one is made again", () => {
  const { archive } = sealedBench();
  const start = sampleStart();
  const number = insertStart(archive.db, start);
  insertEnd(archive.db, number, sampleEnd(start));
  refreshLines(archive);
  expect(curvesToMake(archive, 5)).toEqual([number]);
  const curve = reviewCurve();
  keepCurve(archive, number, sampleVerdict(start), { curve, second: null });
  expect(keptCurve(archive, number)).toEqual({ curve, second: null });
  expect(curvesToMake(archive, 5)).toEqual([]);
  for (const bytes of ["x'00'", "x'ffffffff'", "zeroblob(0)", "x'0300'"]) {
    archive.db.exec(`update review_curves set bytes = ${bytes}`);
    expect(keptCurve(archive, number)).toBeNull();
  }
  archive.db.prepare("update review_curves set judge = judge + 1").run();
  expect(curvesToMake(archive, 5)).toEqual([number]);
});

it("an archive that may only be read is listed all the same and left as it is", async () => {
  const bench = sealedBench();
  await sealedRecord(bench, "r1");
  appendReview(bench.archive, bench.key, "r1", said);
  const reading = openArchive(bench.archive.path, { mode: "read" });
  const book = reviewBook(reading, dayOf);
  expect(book.row(0)).toMatchObject({ id: "r1", state: "accepted" });
  expect(curvesToMake(reading, 5)).toEqual([]);
  expect(bench.archive.db.prepare("select count(*) from review_lines").pluck().get()).toBe(0);
  reading.close();
});

it("an archive in rollback-journal mode was given away and is only looked at", async () => {
  const bench = sealedBench();
  await sealedRecord(bench, "r1");
  const { path } = bench.archive;
  const own = openForReview(path);
  expect(own.mode).toBe("write");
  own.close();
  bench.archive.db.pragma("journal_mode = DELETE");
  bench.archive.close();
  const given = openForReview(path);
  expect(given.mode).toBe("read");
  expect(reviewBook(given, dayOf).size).toBe(1);
  given.close();
});
