import type { ReviewBook } from "../../core/review/book.ts";
import { find, type Sort } from "../../core/review/find.ts";
import type { OpenedRecord } from "../../core/review/opened.ts";
import type { Review } from "../../core/review/row.ts";
import type { Group } from "../../core/review/summary.ts";
import type { DatedZero, ZeroDrift } from "../../core/review/zeroDrift.ts";
import { sizeOf } from "../parts/size.ts";

export type ReviewPage = "table" | "record" | "overlay" | "alike" | "summary" | "zeros";

/** Zeros of one gauge on file. */
export interface GaugeZeros {
  gauge: string;
  zeros: readonly DatedZero[];
  drift: ZeroDrift | null;
}

/** A record whose noise is that of another. */
export interface Alike {
  other: OpenedRecord;
  text: string;
}

/** What a supervisor is about to say. */
export interface ReviewForm {
  word: Review["word"];
  by: string;
  reason: string;
  field: "by" | "reason";
}

export interface ReviewFacts {
  /** Name of the archive for the title row. */
  archive: string;
  /** False: it can be looked at and nothing more. */
  writable: boolean;
  book: ReviewBook;
  query: string;
  /** Who reviews, where it was said already. */
  by: string;
}

export interface ReviewScreenState extends ReviewFacts {
  columns: number;
  rows: number;
  colour: boolean;
  page: ReviewPage;
  sort: Sort;
  /** Rows of the book that fit, in order. */
  hits: Uint32Array;
  /** Place in `hits`. */
  cursor: number;
  /** Rows of the book, in the order they were marked. */
  marks: readonly number[];
  typing: boolean;
  /** Between the marks a terminal puts round what is pasted. */
  pasting: boolean;
  /** The record under the cursor; `null`: none, or it is still being worked out. */
  opened: OpenedRecord | null;
  /** Why the record under the cursor cannot be opened. */
  trouble: string | null;
  /** Those laid on one another. */
  laid: readonly OpenedRecord[];
  alike: readonly Alike[] | null;
  alikeAt: number;
  /** What of the curve is shown; `null`: all of it. */
  window: { from_s: number; to_s: number } | null;
  /** Where figures are read off, s; `null`: nowhere yet. */
  at_s: number | null;
  /** The record's words instead of its curve, where both do not fit. */
  words: boolean;
  turned: number;
  group: Group;
  zeros: readonly GaugeZeros[];
  form: ReviewForm | null;
  help: boolean;
  notice: string | null;
}

/** What the screen wants done that it cannot do itself. */
export type ReviewWish =
  | { kind: "close" }
  | { kind: "say"; number: number; row: number; id: string; word: Review["word"]; by: string; reason: string }
  | { kind: "lay"; ids: string[] }
  | { kind: "alike"; id: string }
  | { kind: "zeros" }
  | { kind: "reload" };

export interface ReviewStep {
  state: ReviewScreenState;
  wish: ReviewWish | null;
}

/** The list as it opens: newest first, searched for `query`. */
export function firstReview(
  facts: ReviewFacts & { columns: number | undefined; rows: number | undefined; colour: boolean },
): ReviewScreenState {
  const sort: Sort = "newest";
  return {
    ...facts,
    ...sizeOf(facts.columns, facts.rows),
    page: "table",
    sort,
    hits: find(facts.book, facts.query, sort),
    cursor: 0,
    marks: [],
    typing: false,
    pasting: false,
    opened: null,
    trouble: null,
    laid: [],
    alike: null,
    alikeAt: 0,
    window: null,
    at_s: null,
    words: false,
    turned: 0,
    group: "tester",
    zeros: [],
    form: null,
    help: false,
    notice: null,
  };
}

/** Row of the book under the cursor; -1: the list is empty. */
export const rowAt = (state: ReviewScreenState): number => state.hits[state.cursor] ?? -1;

/** The record under the cursor, only once it is the one that was opened. */
export function shownRecord(state: ReviewScreenState): OpenedRecord | null {
  const row = rowAt(state);
  return state.opened !== null && row >= 0 && state.opened.number === state.book.number(row) ? state.opened : null;
}
