import { plainText } from "../text.ts";
import type { Review } from "./row.ts";

/** Why nothing can be said in an archive that is only looked at. */
export const READ_ONLY =
  "It was handed over, or may not be written here. Take it into your own archive with `staunch merge` and review it there.";

/** Told with a review of a record that had no seal until then. */
export const SEALED_NOW = "The record had no seal; it was sealed now, before the review. What was done to it until now no seal shows.";

const DONE: Readonly<Record<Review["word"], string>> = { accept: "accepted", return: "sent back", note: "noted" };

/** What a supervisor said: `sent back by M. Reed: the hose was wet`. */
export function saidBy({ word, by, reason }: Pick<Review, "word" | "by" | "reason">): string {
  return `${DONE[word]} by ${plainText(by, 80)}${reason === "" ? "" : `: ${plainText(reason, 400)}`}`;
}

/** Stands before what was said, when it is not what was sealed. */
export const COUNTS_NOT = "ALTERED, does not count";
