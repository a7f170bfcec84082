import type { ReviewBook } from "../../core/review/book.ts";
import type { OpenedRecord } from "../../core/review/opened.ts";
import type { ReviewRow, ReviewState } from "../../core/review/row.ts";
import { sizeOf } from "../parts/size.ts";
import type { ReviewKey } from "./reviewKeys.ts";
import { say, searched, stay } from "./reviewMoves.ts";
import { onOther, onRecord, onTable } from "./reviewPages.ts";
import type { Alike, GaugeZeros, ReviewScreenState, ReviewStep } from "./reviewState.ts";
import { inForm, inSearch, pasted } from "./reviewTyping.ts";

export type ReviewEvent =
  | { kind: "key"; key: ReviewKey }
  | { kind: "size"; columns: number | undefined; rows: number | undefined }
  | { kind: "opened"; record: OpenedRecord; notice?: string | null }
  | { kind: "trouble"; text: string }
  | { kind: "laid"; records: readonly OpenedRecord[] }
  | { kind: "alike"; alike: readonly Alike[] }
  | { kind: "zeros"; zeros: readonly GaugeZeros[] }
  | { kind: "book"; book: ReviewBook }
  | { kind: "said"; row: number; state: ReviewState; record: OpenedRecord; notice: string }
  | { kind: "second"; number: number; second: ReviewRow["second"]; differs: boolean }
  /** Rows of the book were found to be otherwise. */
  | { kind: "held" }
  | { kind: "notice"; text: string };

/** The screen's next state, and what it then wants done. Pure but for the book, whose rows are changed in place. */
export function nextReview(state: ReviewScreenState, event: ReviewEvent): ReviewStep {
  switch (event.kind) {
    case "key":
      return onKey(state.pasting ? state : { ...state, notice: null }, event.key);
    case "size":
      return stay({ ...state, ...sizeOf(event.columns, event.rows) });
    case "opened":
      state.book.change(state.book.rowOf(event.record.number), knownOf(event.record));
      return stay({ ...state, opened: event.record, trouble: null, notice: event.notice ?? state.notice });
    case "trouble":
      return stay({ ...state, trouble: event.text });
    case "laid":
      return event.records.length < 2
        ? say(state, "None of them has a hold to be laid on another's.")
        : stay({ ...state, laid: event.records, page: "overlay" });
    case "alike":
      return event.alike.length === 0
        ? say({ ...state, alike: [] }, "Of the nearest records of this section and day none has the same noise.")
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
    case "held":
      return stay(searched(state, {}));
    case "notice":
      return say(state, event.text);
  }
}

/** What an opened record tells the list. */
function knownOf({ second, differs, altered, seal, end }: OpenedRecord): Pick<ReviewRow, "second" | "differs" | "standing"> {
  const standing = altered !== null ? "altered" : end !== null && seal === "unsealed" ? "unsealed" : "";
  return { second: second?.verdict ?? "", differs, standing };
}

function onKey(state: ReviewScreenState, key: ReviewKey): ReviewStep {
  if (key === "interrupt") return { state, wish: { kind: "close" } };
  if (key === "paste-begin" || key === "paste-end") return stay({ ...state, pasting: key === "paste-begin" });
  if (state.pasting) return pasted(state, key);
  if (state.help) return stay({ ...state, help: false });
  if (state.form !== null) return inForm(state, state.form, key);
  if (state.typing) return inSearch(state, key);
  if (key === "type ?") return stay({ ...state, help: true });
  if (state.page === "table") return onTable(state, key);
  if (key === "escape" || key === "type q") return stay({ ...state, page: state.page === "alike" ? "record" : "table", turned: 0 });
  return state.page === "record" ? onRecord(state, key) : onOther(state, key);
}
