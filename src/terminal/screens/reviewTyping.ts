import type { ReviewKey } from "./reviewKeys.ts";
import { moved, movedBy, say, searched, stay } from "./reviewMoves.ts";
import { type ReviewForm, type ReviewScreenState, type ReviewStep, rowAt } from "./reviewState.ts";

/** What is typed and pasted: the search and what a supervisor says. */

const MOST_TYPED = 400;
const MOST_SAID = { by: 80, reason: 2000 } as const;

const erased = (text: string): string => Array.from(text).slice(0, -1).join("");
const added = (text: string, more: string, most: number): string => (text + more).slice(0, most);
const typed = (text: string, key: ReviewKey, most: number): string =>
  key === "erase" ? erased(text) : key.startsWith("type ") ? added(text, key.slice(5), most) : text;

/** A key while the search is typed: the list follows each letter. */
export function inSearch(state: ReviewScreenState, key: ReviewKey): ReviewStep {
  if (key === "enter") return stay({ ...state, typing: false });
  if (key === "escape") return stay({ ...searched(state, { query: "" }), typing: false });
  const move = movedBy(state, key);
  if (move !== 0) return stay(moved(state, move));
  const query = typed(state.query, key, MOST_TYPED);
  return stay(query === state.query ? state : searched(state, { query }));
}

/** A key while a review is written. Only Enter in a form that is complete asks for the seal. */
export function inForm(state: ReviewScreenState, form: ReviewForm, key: ReviewKey): ReviewStep {
  if (key === "escape") return say({ ...state, form: null }, "Nothing was said.");
  if (key === "tab" || key === "up" || key === "down")
    return stay({ ...state, form: { ...form, field: form.field === "by" ? "reason" : "by" } });
  if (key !== "enter") return written(state, form, typed(form[form.field], key, MOST_SAID[form.field]));
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

function written(state: ReviewScreenState, form: ReviewForm, text: string): ReviewStep {
  const next = { ...state, form: { ...form, [form.field]: text } };
  const most = MOST_SAID[form.field];
  return text.length < most ? stay(next) : say(next, `No more than ${most} characters; the rest is left out.`);
}

/**
 * What is pasted is text and never keys: a line end in it must not seal a review, a letter in it begin one. Where nothing is being typed it is
 * left alone.
 */
export function pasted(state: ReviewScreenState, key: ReviewKey): ReviewStep {
  const more = key.startsWith("type ") ? key.slice(5) : key === "enter" || key === "tab" ? " " : "";
  if (more === "") return stay(state);
  if (state.form !== null) return written(state, state.form, added(state.form[state.form.field], more, MOST_SAID[state.form.field]));
  if (state.typing) return stay(searched(state, { query: added(state.query, more, MOST_TYPED) }));
  return say(state, "What is pasted is not taken for keys: press / to search for it.");
}
