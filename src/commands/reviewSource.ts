import { isDeepStrictEqual } from "node:util";
import { isStaunchError } from "../core/errors.ts";
import type { ReviewBook } from "../core/review/book.ts";
import { find } from "../core/review/find.ts";
import type { OpenedRecord } from "../core/review/opened.ts";
import { type ReviewRow, stateOf } from "../core/review/row.ts";
import { SEALED_NOW } from "../core/review/sayings.ts";
import type { Archive } from "../storage/open.ts";
import { curvesToMake } from "../storage/reviewCurves.ts";
import { holdAgainstSeals, reviewBook } from "../storage/reviewLines.ts";
import type { ReviewSource } from "../terminal/reviewLoop.ts";
import { dayOf } from "../terminal/wall.ts";
import type { Context } from "./command.ts";
import { alikeOf } from "./lookAlikes.ts";
import { openAnew, openKept, openRecord } from "./reviewOpen.ts";
import { doneWords, sayReview } from "./reviewSay.ts";
import { zeroDrifts } from "./reviewSummary.ts";

/** Asked for at once: each look for what is missing goes through all lines. */
const BATCH = 100;

/** Rows held against their seals at a time, newest first, while the keyboard rests. */
const LOOKS = 40;

const REMADE = "What was kept of this record for lists is not what its journal gives; it was made again.";

const isSame = (one: OpenedRecord, other: OpenedRecord): boolean =>
  JSON.stringify(one.second) === JSON.stringify(other.second) &&
  isDeepStrictEqual(one.curve, other.curve) &&
  isDeepStrictEqual(one.spikes, other.spikes);

/** The archive as the screen sees it. */
export function sourceFrom(archive: Archive, first: ReviewBook, { io, key }: Context): ReviewSource {
  let book = first;
  const queue = missing(archive);
  let [due, looked] = [find(book, "", "newest"), 0];
  return {
    kept: (id) => openKept(archive, id),
    open: (id) => openRecord(archive, id),
    openAnew(id) {
      const kept = openKept(archive, id);
      const record = openAnew(archive, id);
      return { record, notice: kept === null || isSame(kept, record) ? null : REMADE };
    },
    holdMore() {
      const rows = due.subarray(looked, looked + LOOKS);
      looked += rows.length;
      return rows.length === 0 ? null : holdAgainstSeals(archive, book, rows, dayOf);
    },
    say({ id, word, by, reason }) {
      const review = sayReview(archive, key, id, { word, by, reason, wall_ms: io.clock.wall_ms() });
      const record = openRecord(archive, id);
      return {
        record,
        state: stateOf(record.reviews),
        notice: [doneWords(id, review), ...(review.sealedNow ? [SEALED_NOW] : [])].join(". "),
      };
    },
    alike: (id) => alikeOf(archive, id).map(({ id: other, text }) => ({ other: openRecord(archive, other), text })),
    zeros: () => zeroDrifts(archive),
    book() {
      book = reviewBook(archive, dayOf, io.clock.wall_ms());
      queue.again();
      [due, looked] = [find(book, "", "newest"), 0];
      return book;
    },
    catchUp() {
      const number = queue.next();
      const id = number === null ? "" : book.text(book.rowOf(number), "id");
      return number === null || id === "" ? null : { number, ...secondOf(archive, id) };
    },
    explain: (error) =>
      isStaunchError(error) ? `${error.message} ${error.hint}` : `This failed: ${error instanceof Error ? error.message : String(error)}`,
  };
}

function secondOf(archive: Archive, id: string): Pick<ReviewRow, "second" | "differs"> {
  try {
    const { second, differs } = openRecord(archive, id);
    return { second: second?.verdict ?? "", differs };
  } catch (error) {
    // Told when somebody opens it; the others are not to wait for it.
    if (isStaunchError(error)) return { second: "", differs: false };
    throw error;
  }
}

/** Records whose curve is not kept, each once. */
function missing(archive: Archive): { next(): number | null; again(): void } {
  const seen = new Set<number>();
  let waiting: number[] = [];
  let isDone = false;
  return {
    next() {
      if (waiting.length === 0 && !isDone) {
        waiting = curvesToMake(archive, seen.size === 0 ? BATCH : BATCH + seen.size).filter((number) => !seen.has(number));
        isDone = waiting.length === 0;
      }
      const number = waiting.shift() ?? null;
      if (number !== null) seen.add(number);
      return number;
    },
    again() {
      isDone = false;
    },
  };
}
