import type { RecordSource } from "../link.ts";
import type { VerdictWord } from "../record.ts";

/** Where a record stands with its supervisor: the newest accept or return; a note changes nothing. */
export const REVIEW_STATES = ["unreviewed", "accepted", "returned"] as const;
export type ReviewState = (typeof REVIEW_STATES)[number];

/** What a list of many records needs of each; strings are untrusted. */
export interface ReviewRow {
  /** Number inside the archive. */
  number: number;
  id: string;
  started_wall_ms: number;
  /** Day of the start on the clock of the machine that shows it: `2026-03-01`. */
  day: string;
  section: string;
  stage: string;
  method: string;
  /** The gauge's name on file, else its protocol. */
  gauge: string;
  /** Empty: not named. */
  tester: string;
  source: RecordSource;
  word: VerdictWord | "open";
  /** Codes of reasons and remarks, joined by blanks. */
  codes: string;
  /** Verdict of the whole-curve judge; empty: not worked out, or there is none for this kind of test. */
  second: VerdictWord | "";
  /** The second opinion is another one. */
  differs: boolean;
  state: ReviewState;
  /** `unsealed`: it ended without a seal; `altered`: looked at, and not what was sealed. Empty: neither, as far as was looked. */
  standing: "" | "unsealed" | "altered";
  /** Drop as a part of the permitted one; `null`: not measured. */
  drop: number | null;
}

/** One entry of a supervisor about a record, as it was sealed. */
export interface Review {
  word: "accept" | "return" | "note";
  by: string;
  reason: string;
  wall_ms: number;
  /** The seal the record had then, in hexadecimal, or `unsealed`. */
  seal: string;
  /** False: what lies here is not what was sealed. It is shown and counts for nothing. */
  intact: boolean;
}

/** A second signature under a record's seal; strings are untrusted. Whose the key is only its owner can tell. */
export interface Signature {
  by: string;
  /** Fingerprint of the key that signed. */
  key: string;
  wall_ms: number;
  /** It is what was signed, by whatever key. */
  intact: boolean;
}

/** The newest accept or return decides. */
export function stateOf(reviews: readonly Review[]): ReviewState {
  let newest: Review | null = null;
  for (const review of reviews) {
    if (review.word !== "note" && review.intact && (newest === null || review.wall_ms >= newest.wall_ms)) newest = review;
  }
  if (newest === null) return "unreviewed";
  return newest.word === "accept" ? "accepted" : "returned";
}
