import { EXIT, type ExitCode, StaunchError, usageError } from "../core/errors.ts";
import type { Review } from "../core/review/row.ts";
import { READ_ONLY, SEALED_NOW, saidBy } from "../core/review/sayings.ts";
import { counted, plainJson, plainText } from "../core/text.ts";
import { openKey } from "../storage/key.ts";
import type { Archive } from "../storage/open.ts";
import { findRecord, listRecords } from "../storage/records.ts";
import { refreshLines } from "../storage/reviewLines.ts";
import { openForReview } from "../storage/reviewOpen.ts";
import { appendReview, type NewlySaid, type NewReview } from "../storage/reviews.ts";
import { sourceWord } from "../terminal/plain.ts";
import type { Context } from "./command.ts";
import { isoTime } from "./days.ts";

/** Seals what a supervisor says of a record that has ended. */
export function sayReview(archive: Archive, keyPath: string | undefined, id: string, said: NewReview): NewlySaid {
  if (keyPath === undefined) throw usageError("key-missing", "There is no key to seal the review with.", "Name one with STAUNCH_KEY.");
  const review = appendReview(archive, openKey(keyPath), id, said);
  refreshLines(archive);
  return review;
}

/** `review accept`, `return` and `note`. StaunchErrors: `review-read-only` (74), `review-open` (64), those of `sayReview`. */
export function runSay(
  options: { word: Review["word"]; id: string; by: string; reason: string; json: boolean },
  context: Context,
): ExitCode {
  const { io, archive: path, key } = context;
  const archive = openForReview(path);
  try {
    if (archive.mode !== "write") throw readOnly(path);
    const { start, end } = findRecord(archive, options.id);
    // It would name a seal the record has yet to get.
    if (end === null)
      throw usageError(
        "review-open",
        `Record ${plainText(start.id, 60)} has no verdict yet, so there is nothing to review.`,
        "Wait for its end; a test that broke off is closed by the next one.",
      );
    const { word, by, reason } = options;
    const review = sayReview(archive, key, start.id, { word, by, reason, wall_ms: io.clock.wall_ms() });
    if (options.json) io.out(plainJson({ schema: "staunch/review/1", record: start.id, ...review, at: isoTime(review.wall_ms) }));
    else for (const text of saidLines(start.id, review, sourceWord(start.source), sameTest(archive, start.id))) io.out(text);
    return EXIT.pass;
  } finally {
    archive.close();
  }
}

const readOnly = (path: string): StaunchError =>
  new StaunchError({
    code: "review-read-only",
    message: `${plainText(path, 300)} can only be looked at.`,
    hint: READ_ONLY,
    exit: EXIT.storage,
  });

/** Other records of the same section and stage, which the reader will want to know of. */
function sameTest(archive: Archive, id: string): number {
  const { start } = findRecord(archive, id);
  return listRecords(archive, { section: start.section.id, stage: start.stage }).length - 1;
}

/** What was said of a record, in one line. */
export const doneWords = (id: string, review: Review): string => `${plainText(id, 60)} ${saidBy(review)}`;

function saidLines(id: string, review: NewlySaid, source: string | null, others: number): string[] {
  const lines = [doneWords(id, review)];
  if (review.sealedNow) lines.push(SEALED_NOW);
  lines.push(`The review names the record's seal ${review.seal.slice(0, 16)}….`);
  if (source !== null) lines.push(`${source}: proves no section`);
  if (others > 0) lines.push(`${counted(others, "other record")} of this section and stage: staunch review list`);
  return lines;
}
