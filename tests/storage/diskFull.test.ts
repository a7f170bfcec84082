/** A disk that is full at the n-th page, for every n from the start of a test to its review: a quota of pages stands in for the disk. */
import { describe, expect, it } from "vitest";
import { chainFindings } from "../../src/evidence/chain.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { closeInterrupted } from "../../src/storage/interrupted.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { findRecord, listRecords } from "../../src/storage/records.ts";
import { appendReview, reviewsOf } from "../../src/storage/reviews.ts";
import { standings } from "../../src/storage/standings.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { bytesIn, sampleEnd, sampleStart, sampleVerdict } from "../support/records.ts";
import { type SealedBench, sealedBench, sealedRecord } from "../support/sealed.ts";

/** Each burst takes some pages of its own, and hardly shrinks when it is packed. */
const EVENTS = Array.from({ length: 60 }, (_, seq) => bytesIn(seq, seq * 100, unlike(seq)));
const BURST = 20;
const STEPS = ["begin", "journal", "end", "review"] as const;
type Step = (typeof STEPS)[number];
type Refusals = Partial<Record<Step, unknown>>;

function unlike(seed: number): string {
  let state = seed + 1;
  return Array.from({ length: 400 }, () => {
    state = (state * 1_103_515_245 + 12_345) % 2 ** 31;
    return String.fromCharCode(33 + (Math.floor(state / 2 ** 12) % 90));
  }).join("");
}

const pagesOf = ({ db }: Archive): number => Number(db.pragma("page_count", { simple: true }));

/** SQLite answers SQLITE_FULL when the file would grow beyond so many pages, as it does on a full disk. */
const allow = (archive: Archive, pages: number): unknown => archive.db.pragma(`max_page_count = ${pagesOf(archive) + pages}`);

const review = (archive: Archive, { key }: SealedBench): unknown =>
  appendReview(archive, key, "before", { word: "accept", by: "Ada Quill", reason: unlike(99).repeat(20), wall_ms: 7 });

/** A whole test in an archive that may grow by so many pages; what each step was refused with. */
async function test(archive: Archive, b: SealedBench): Promise<Refusals> {
  const refused: Refusals = {};
  const clock = new QueueClock();
  const start = sampleStart({ id: "under", started_wall_ms: sampleStart().started_wall_ms + 1, stage: unlike(7).repeat(30) });
  try {
    const writer = createRecord(archive, start, clock, b.sealing);
    writer.onTrouble((error) => {
      refused.journal ??= error;
    });
    for (const event of EVENTS) {
      writer.append(event);
      if ((event.seq + 1) % BURST === 0) clock.runUntil(clock.now_ms() + 500);
    }
    const ending = writer.end(sampleEnd(start)).catch((error: unknown) => {
      refused.end = error;
    });
    clock.runUntil(clock.now_ms() + 10_000);
    await ending;
  } catch (error) {
    refused.begin = error;
  }
  try {
    review(archive, b);
  } catch (error) {
    refused.review = error;
  }
  return refused;
}

/** What the next start finds, with room again. */
async function nextStart(b: SealedBench, refused: Refusals): Promise<void> {
  const archive = openArchive(b.archive.path, { mode: "write" });
  expect(archive.db.pragma("integrity_check", { simple: true })).toBe("ok");
  const open = listRecords(archive, { verdict: "open" }).map(({ id }) => id);
  expect(open).toEqual(refused.begin === undefined && refused.end !== undefined ? ["under"] : []);
  expect(reviewsOf(archive, "before").length).toBe(refused.review === undefined ? 1 : 0);
  const { closed, failed } = closeInterrupted(archive, 9000, (start) => sampleVerdict(start, { verdict: "void" }), b.sealing);
  expect([closed, failed]).toEqual([open, []]);
  if (refused.begin === undefined) {
    const { number, end } = findRecord(archive, "under");
    const kept = readJournal(archive, number).filter(({ kind }) => kind !== "end");
    expect(kept).toEqual(EVENTS.slice(0, kept.length));
    // Never a pass that was not committed, never one lost that was.
    expect(end?.verdict.verdict).toBe(refused.end === undefined ? "pass" : "void");
    if (refused.end === undefined) expect(kept.length).toBe(EVENTS.length);
  }
  await sealedRecord({ archive, sealing: b.sealing }, "after");
  const looked = [...standings(archive, new Set([b.key.fingerprint]))];
  expect(looked.map(({ standing }) => standing.standing)).toEqual(looked.map(() => "intact"));
  expect(chainFindings(looked.flatMap(({ found }) => (found === null ? [] : [found.sealed])))).toEqual([]);
  archive.close();
}

describe("a disk full at every page from the start of a test to its review", () => {
  it("is 74 each time, loses nothing sealed, and the next start is clean", async () => {
    const seen = new Map<string, number>();
    for (let pages = 0, hasRoom = false; !hasRoom; pages++) {
      const b = sealedBench();
      await sealedRecord(b, "before");
      allow(b.archive, pages);
      const refused = await test(b.archive, b);
      for (const error of Object.values(refused)) expect(error).toMatchObject({ code: "archive-full", exit: 74 });
      b.archive.close();
      await nextStart(b, refused);
      const words = STEPS.filter((step) => refused[step] !== undefined).join("+") || "none";
      seen.set(words, (seen.get(words) ?? 0) + 1);
      hasRoom = words === "none";
      expect(pages).toBeLessThan(200);
    }
    for (const step of STEPS) expect([...seen.keys()].some((words) => words.includes(step))).toBe(true);
  });
});
