import type { ReviewBook } from "../core/review/book.ts";
import { find, type Sort } from "../core/review/find.ts";
import { counted } from "../core/text.ts";
import type { Archive } from "../storage/open.ts";
import { holdAgainstSeals } from "../storage/reviewLines.ts";
import { dayOf } from "../terminal/wall.ts";
import { HELD } from "./recordList.ts";

/**
 * The rows that fit, of which at most `shown` will be. What lists keep is under no seal, so the newest lines are held against their records
 * before they are searched: a line altered by hand hides no record, and `altered` finds those that are.
 */
export function heldSearch(archive: Archive, book: ReviewBook, words: readonly string[], sort: Sort, shown: number): Uint32Array {
  const typed = words.join(" ");
  const hold = (rows: Uint32Array): boolean => holdAgainstSeals(archive, book, rows.subarray(0, HELD), dayOf);
  if (typed !== "") hold(find(book, "", "newest"));
  let hits = find(book, typed, sort);
  // A line that was made again may no longer fit what is looked for.
  while (hold(hits.subarray(0, shown))) hits = find(book, typed, sort);
  return hits;
}

/** Said beside a search that went through more lines than were held; none when all were. */
export const searchNotes = (book: ReviewBook, words: readonly string[]): string[] =>
  words.length === 0 || book.size <= HELD
    ? []
    : [
        `${counted(book.size - HELD, "older record was", "older records were")} searched by what lists keep, held against no seal: staunch verify`,
      ];
