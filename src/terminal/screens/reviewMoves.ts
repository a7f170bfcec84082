import { find, SORTS } from "../../core/review/find.ts";
import { READ_ONLY } from "../../core/review/sayings.ts";
import { GROUPS } from "../../core/review/summary.ts";
import type { ReviewKey } from "./reviewKeys.ts";
import type { ReviewForm, ReviewScreenState, ReviewStep } from "./reviewState.ts";
import { rowAt, shownRecord } from "./reviewState.ts";

/** Steps of the review's state that keys lead to. All pure. */

/** Nothing is wanted. */
export const stay = (state: ReviewScreenState): ReviewStep => ({ state, wish: null });
/** Nothing is wanted, and a sentence stands until the next key. */
export const say = (state: ReviewScreenState, notice: string): ReviewStep => stay({ ...state, notice });

/** A curve begun for another record is shown whole again. */
const AFRESH = { window: null, at_s: null, turned: 0, alike: null, alikeAt: 0 } as const;

/** The cursor goes so many rows down, no further than the ends of the list. */
export function moved(state: ReviewScreenState, by: number): ReviewScreenState {
  const cursor = Math.max(0, Math.min(state.hits.length - 1, state.cursor + by));
  return cursor === state.cursor ? state : { ...state, ...AFRESH, cursor, trouble: null };
}

/** Rows to move by; 0: this key does not move. */
export function movedBy(state: ReviewScreenState, key: ReviewKey): number {
  const page = Math.max(1, state.rows - 10);
  const ways: Partial<Record<ReviewKey, number>> = { up: -1, down: 1, "page-up": -page, "page-down": page, home: -1e9, end: 1e9 };
  return ways[key] ?? 0;
}

/** The same record stays under the cursor where it still fits. */
export function searched(state: ReviewScreenState, news: Partial<Pick<ReviewScreenState, "query" | "sort" | "book">>): ReviewScreenState {
  const next = { ...state, ...news };
  const before = rowAt(state);
  const number = before < 0 ? -1 : state.book.number(before);
  const hits = find(next.book, next.query, next.sort);
  const place = hits.findIndex((row) => next.book.number(row) === number);
  const marks = news.book === undefined ? state.marks : [];
  return { ...next, marks, hits, ...(place < 0 ? AFRESH : {}), cursor: Math.max(0, place), trouble: null };
}

const after = <T>(list: readonly T[], one: T): T => list[(list.indexOf(one) + 1) % list.length] ?? one;

/** The next order in turn. */
export const resorted = (state: ReviewScreenState): ReviewScreenState => searched(state, { sort: after(SORTS, state.sort) });
/** Summed up by the next thing in turn. */
export const regrouped = (state: ReviewScreenState): ReviewScreenState => ({ ...state, group: after(GROUPS, state.group), turned: 0 });

/** More cannot be told apart on one picture. */
const MOST_LAID = 6;

/** Marks the record under the cursor, or takes its mark away, and goes a row on. */
export function marked(state: ReviewScreenState): ReviewStep {
  const row = rowAt(state);
  if (row < 0) return stay(state);
  if (state.marks.includes(row)) return stay({ ...moved(state, 1), marks: state.marks.filter((one) => one !== row) });
  if (state.marks.length >= MOST_LAID) return say(state, `At most ${MOST_LAID} records can be laid on one another.`);
  return stay({ ...moved(state, 1), marks: [...state.marks, row] });
}

/** The marked ones; with one or none marked, the record under the cursor and all of its section, newest first. */
export function overlaid(state: ReviewScreenState): ReviewStep {
  const rows = state.marks.length > 1 ? [...state.marks] : [...new Set([...state.marks, rowAt(state), ...sameSection(state)])];
  const ids = rows
    .filter((row) => row >= 0)
    .slice(0, MOST_LAID)
    .map((row) => state.book.text(row, "id"));
  if (ids.length < 2) return say(state, "Mark two or more records with the space bar to lay them on one another.");
  return { state: { ...state, laid: [] }, wish: { kind: "lay", ids } };
}

function sameSection(state: ReviewScreenState): number[] {
  const { numbers } = state.book.column("section");
  const row = rowAt(state);
  if (row < 0) return [];
  const found: number[] = [];
  for (const other of find(state.book, "", "newest")) {
    if (numbers[other] === numbers[row] && other !== row) found.push(other);
    if (found.length >= MOST_LAID) break;
  }
  return found;
}

/** Begins a review of the record under the cursor, where one can be said. */
export function formed(state: ReviewScreenState, word: ReviewForm["word"]): ReviewStep {
  const row = rowAt(state);
  if (row < 0) return stay(state);
  if (!state.writable) return say(state, `This archive can only be looked at. ${READ_ONLY}`);
  if (state.book.text(row, "word") === "open") return say(state, "It has no verdict yet, so there is nothing to review.");
  return stay({ ...state, form: { word, by: state.by, reason: "", field: state.by === "" ? "by" : "reason" }, notice: null });
}

/** Zooms by a factor round the place where figures are read off, inside the curve. */
export function zoomed(state: ReviewScreenState, factor: number): ReviewScreenState {
  const record = shownRecord(state);
  if (record === null || record.curve.time_s.length < 2) return state;
  const [first, last] = [record.curve.time_s[0] ?? 0, record.curve.time_s.at(-1) ?? 0];
  const { from_s, to_s } = state.window ?? { from_s: first, to_s: last };
  const length = Math.min(last - first, Math.max(2, (to_s - from_s) * factor));
  if (length >= last - first) return { ...state, window: null };
  const middle = state.at_s ?? (from_s + to_s) / 2;
  const part = to_s > from_s ? Math.min(1, Math.max(0, (middle - from_s) / (to_s - from_s))) : 0.5;
  return { ...state, window: within(middle - part * length, length, first, last) };
}

const within = (from_s: number, length: number, first: number, last: number) => {
  const from = Math.max(first, Math.min(last - length, from_s));
  return { from_s: from, to_s: from + length };
};

/** The hold with a little on both sides; the whole curve when it is shown already, or was never made. */
export function holdShown(state: ReviewScreenState): ReviewScreenState {
  const record = shownRecord(state);
  const { from_s, to_s } = record?.end?.verdict.hold ?? { from_s: null, to_s: null };
  if (from_s === null || to_s === null || state.window !== null) return { ...state, window: null };
  const margin = Math.max(5, (to_s - from_s) * 0.1);
  return { ...state, window: { from_s: from_s - margin, to_s: to_s + margin }, at_s: from_s };
}

/** Where figures are read off moves by dots of the picture; the window goes along. */
export function readAt(state: ReviewScreenState, steps: number): ReviewScreenState {
  const record = shownRecord(state);
  if (record === null || record.curve.time_s.length === 0) return state;
  const [first, last] = [record.curve.time_s[0] ?? 0, record.curve.time_s.at(-1) ?? 0];
  const window = state.window ?? { from_s: first, to_s: last };
  const length = window.to_s - window.from_s;
  const from = state.at_s ?? record.end?.verdict.hold.from_s ?? (window.from_s + window.to_s) / 2;
  const at_s = Math.max(first, Math.min(last, from + (steps * length) / Math.max(20, (state.columns - 10) * 2)));
  const isInside = at_s >= window.from_s && at_s <= window.to_s;
  return { ...state, at_s, window: isInside || state.window === null ? state.window : within(at_s - length / 2, length, first, last) };
}
