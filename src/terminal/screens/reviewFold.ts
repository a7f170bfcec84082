import type { ReviewBook } from "../../core/review/book.ts";
import type { OpenedRecord } from "../../core/review/opened.ts";
import type { ReviewRow, ReviewState } from "../../core/review/row.ts";
import type { ReviewKey } from "./reviewKeys.ts";
import { formed, holdShown, marked, moved, overlaid, readAt, regrouped, resorted, say, searched, stay, zoomed } from "./reviewMoves.ts";
import { type Alike, type GaugeZeros, type ReviewScreenState, type ReviewStep, rowAt, sizeOf } from "./reviewState.ts";

export type ReviewEvent =
  | { kind: "key"; key: ReviewKey }
  | { kind: "size"; columns: number | undefined; rows: number | undefined }
  | { kind: "opened"; record: OpenedRecord }
  | { kind: "trouble"; text: string }
  | { kind: "laid"; records: readonly OpenedRecord[] }
  | { kind: "alike"; alike: readonly Alike[] }
  | { kind: "zeros"; zeros: readonly GaugeZeros[] }
  | { kind: "book"; book: ReviewBook }
  | { kind: "said"; row: number; state: ReviewState; record: OpenedRecord; notice: string }
  | { kind: "second"; number: number; second: ReviewRow["second"]; differs: boolean }
  | { kind: "notice"; text: string };

export function nextReview(state: ReviewScreenState, event: ReviewEvent): ReviewStep {
  switch (event.kind) {
    case "key":
      return onKey({ ...state, notice: null }, event.key);
    case "size":
      return stay({ ...state, ...sizeOf(event.columns, event.rows) });
    case "opened":
      return stay({ ...state, opened: event.record, trouble: null });
    case "trouble":
      return stay({ ...state, trouble: event.text });
    case "laid":
      return event.records.length < 2
        ? say(state, "None of them has a hold to be laid on another's.")
        : stay({ ...state, laid: event.records, page: "overlay" });
    case "alike":
      return event.alike.length === 0
        ? say({ ...state, alike: [] }, "No other record of this section or day has the same noise.")
        : stay({ ...state, alike: event.alike, alikeAt: 0, page: "alike" });
    case "zeros":
      return stay({ ...state, zeros: event.zeros, page: "zeros", turned: 0 });
    case "book":
      return stay(searched(state, { book: event.book }));
    case "said":
      state.book.change(event.row, { state: event.state });
      return stay({ ...searched(state, {}), opened: event.record, notice: event.notice });
    case "second":
      state.book.change(state.book.rowOf(event.number), { second: event.second, differs: event.differs });
      return stay({ ...state });
    case "notice":
      return say(state, event.text);
  }
}

function onKey(state: ReviewScreenState, key: ReviewKey): ReviewStep {
  if (key === "interrupt") return { state, wish: { kind: "close" } };
  if (state.help) return stay({ ...state, help: false });
  if (state.form !== null) return inForm(state, key);
  if (state.typing) return inSearch(state, key);
  if (key === "type ?") return stay({ ...state, help: true });
  if (state.page === "table") return onTable(state, key);
  if (key === "escape" || key === "type q") return stay({ ...state, page: state.page === "alike" ? "record" : "table", turned: 0 });
  return state.page === "record" ? onRecord(state, key) : onOther(state, key);
}

const MOST_TYPED = 400;
const erased = (text: string): string => Array.from(text).slice(0, -1).join("");
const typed = (text: string, key: ReviewKey, most: number): string =>
  key === "erase" ? erased(text) : key.startsWith("type ") ? (text + key.slice(5)).slice(0, most) : text;

function inSearch(state: ReviewScreenState, key: ReviewKey): ReviewStep {
  if (key === "enter") return stay({ ...state, typing: false });
  if (key === "escape") return stay({ ...searched(state, { query: "" }), typing: false });
  const move = lines(state, key);
  if (move !== 0) return stay(moved(state, move));
  const query = typed(state.query, key, MOST_TYPED);
  return stay(query === state.query ? state : searched(state, { query }));
}

const MOST_REASON = 2000;

function inForm(state: ReviewScreenState, key: ReviewKey): ReviewStep {
  const { form } = state;
  if (form === null) return stay(state);
  if (key === "escape") return say({ ...state, form: null }, "Nothing was said.");
  if (key === "tab" || key === "up" || key === "down")
    return stay({ ...state, form: { ...form, field: form.field === "by" ? "reason" : "by" } });
  if (key !== "enter") return stay({ ...state, form: { ...form, [form.field]: typed(form[form.field], key, MOST_REASON) } });
  const [by, reason] = [form.by.trim(), form.reason.trim()];
  if (by === "") return say({ ...state, form: { ...form, field: "by" } }, "A review needs a name: it is sealed with it.");
  if (form.field === "by") return stay({ ...state, form: { ...form, field: "reason" } });
  if (reason === "" && form.word !== "accept") return say(state, "Say why in a few words.");
  const row = rowAt(state);
  const id = state.book.text(row, "id");
  return {
    state: { ...state, form: null, by },
    wish: { kind: "say", number: state.book.number(row), row, id, word: form.word, by, reason },
  };
}

/** Rows to move by; 0: this key does not move. */
function lines(state: ReviewScreenState, key: ReviewKey): number {
  const page = Math.max(1, state.rows - 10);
  const ways: Partial<Record<ReviewKey, number>> = { up: -1, down: 1, "page-up": -page, "page-down": page, home: -1e9, end: 1e9 };
  return ways[key] ?? 0;
}

function onTable(state: ReviewScreenState, key: ReviewKey): ReviewStep {
  const move = lines(state, key);
  if (move !== 0) return stay(moved(state, move));
  if (key === "enter") return rowAt(state) < 0 ? stay(state) : stay({ ...state, page: "record", turned: 0 });
  if (key === "escape") return stay({ ...searched(state, { query: "" }), marks: [] });
  switch (key) {
    case "type /":
      return stay({ ...state, typing: true });
    case "type j":
      return stay(moved(state, 1));
    case "type k":
      return stay(moved(state, -1));
    case "type  ":
      return marked(state);
    case "type s":
      return stay(resorted(state));
    case "type u":
      return stay({ ...state, page: "summary", turned: 0 });
    case "type z":
      return { state, wish: { kind: "zeros" } };
    case "type g":
      return { state, wish: { kind: "reload" } };
    case "type q":
      return { state, wish: { kind: "close" } };
    default:
      return onAny(state, key);
  }
}

/** Keys that mean the same on the table and on a record. */
function onAny(state: ReviewScreenState, key: ReviewKey): ReviewStep {
  switch (key) {
    case "type a":
      return formed(state, "accept");
    case "type b":
      return formed(state, "return");
    case "type n":
      return formed(state, "note");
    case "type o":
      return overlaid(state);
    case "type l":
      return rowAt(state) < 0 ? stay(state) : { state, wish: { kind: "alike", id: state.book.text(rowAt(state), "id") } };
    default:
      return stay(state);
  }
}

function onRecord(state: ReviewScreenState, key: ReviewKey): ReviewStep {
  switch (key) {
    case "up":
    case "down":
      return stay(moved(state, key === "up" ? -1 : 1));
    case "left":
    case "right":
      return stay(readAt(state, key === "left" ? -1 : 1));
    case "page-up":
    case "page-down":
      return stay(readAt(state, key === "page-up" ? -20 : 20));
    case "home":
    case "end":
      return stay(readAt(state, key === "home" ? -1e9 : 1e9));
    case "type +":
    case "type =":
      return stay(zoomed(state, 0.5));
    case "type -":
      return stay(zoomed(state, 2));
    case "type 0":
      return stay({ ...state, window: null });
    case "type h":
      return stay(holdShown(state));
    case "type v":
      return stay({ ...state, words: !state.words, turned: 0 });
    case "type  ":
      return stay({ ...state, turned: state.turned + 1 });
    default:
      return onAny(state, key);
  }
}

function onOther(state: ReviewScreenState, key: ReviewKey): ReviewStep {
  if (state.page === "summary" && (key === "tab" || key === "type u")) return stay(regrouped(state));
  if (state.page === "alike" && (key === "tab" || key === "type l")) return stay({ ...state, alikeAt: state.alikeAt + 1 });
  if (key === "type  ") return stay({ ...state, turned: state.turned + 1 });
  return stay(state);
}
