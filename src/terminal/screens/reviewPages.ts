import type { ReviewKey } from "./reviewKeys.ts";
import { formed, holdShown, marked, moved, movedBy, overlaid, readAt, regrouped, resorted, searched, stay, zoomed } from "./reviewMoves.ts";
import { type ReviewScreenState, type ReviewStep, rowAt } from "./reviewState.ts";

/** What a key does on each page. */

/** On the list. */
export function onTable(state: ReviewScreenState, key: ReviewKey): ReviewStep {
  const move = movedBy(state, key);
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

/** On a record shown whole. */
export function onRecord(state: ReviewScreenState, key: ReviewKey): ReviewStep {
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

/** On summaries, zeros, curves on one another and look-alikes. */
export function onOther(state: ReviewScreenState, key: ReviewKey): ReviewStep {
  if (state.page === "summary" && (key === "tab" || key === "type u")) return stay(regrouped(state));
  if (state.page === "alike" && (key === "tab" || key === "type l")) return stay({ ...state, alikeAt: state.alikeAt + 1 });
  if (key === "type  ") return stay({ ...state, turned: state.turned + 1 });
  return stay(state);
}
