import { queryTrouble } from "../../core/review/queryTrouble.ts";
import { plainText } from "../../core/text.ts";
import { wrap } from "../parts/cells.ts";
import { type Line, lineWidth, plainLine, spread } from "../parts/line.ts";
import { summaryRows, zeroRows } from "./reviewCounts.ts";
import { alikeRows, overlayRows } from "./reviewOverlay.ts";
import { recordRows } from "./reviewRecord.ts";
import { sideRows } from "./reviewSide.ts";
import { type ReviewForm, type ReviewPage, type ReviewScreenState, shownRecord } from "./reviewState.ts";
import { tableHead, tableRows } from "./reviewTable.ts";

const KEYS: Readonly<Record<ReviewPage, string>> = {
  table: "/ find · s sort · space mark · enter · o overlay · a b n review · ? keys · q",
  record: "← → + − 0 · h hold · v words · a accept · b back · n note · l alike · ? · q",
  overlay: "q back",
  alike: "tab next · q back",
  summary: "tab by tester, gauge, method, week · space page · q back",
  zeros: "space page · q back",
};

const HELP: readonly string[] = [
  "/       find as you type; all words must fit: pass fail void inconclusive open",
  "        unreviewed accepted returned differs simulated imported unsealed altered",
  "        or a piece of any name, remark or id, or section:S3 stage:covered",
  "        verdict:fail method:en1610 gauge:east tester:tarn remark:wind",
  '        second:void source:gauge since:7d until:2026-04-15 "two words"',
  "        -pass or not:pass for what must not be there",
  "↑ ↓     move (pages, home, end); the curve is that of the record at the cursor",
  "s       sort: newest, oldest, section, verdict, drop, tester, gauge, method",
  "space   mark for the overlay; esc takes marks and search away",
  "o       marked curves on one another (none marked: all of this section)",
  "enter   the whole curve: ← → read figures off, + − zoom, h the hold, 0 all",
  "a b n   accept, send back, note: sealed with your name, never changed after",
  "l       records whose noise is the same, side by side",
  "u z g   summaries · drift of gauge zeros · read the archive again",
  "",
  "● a reading, where they are few · ○ a reading left out",
  "× estimate at a boundary of the hold · ··· limit",
  "≠ the second opinion is another · SIM, IMP, PTY: proves no section",
  "ALTER! it is not what was sealed: its verdict is not shown",
];

function titleRow(state: ReviewScreenState): Line {
  const { hits, book, sort, cursor } = state;
  const where = hits.length === 0 ? "none" : `${cursor + 1} of ${hits.length}`;
  const all = hits.length === book.size ? "" : ` (${book.size} in all)`;
  const look = state.writable ? "" : " · read only";
  return spread(
    plainLine(`Review · ${plainText(state.archive, 60)}${look}`, { bold: true }),
    plainLine(`${where}${all} · ${sort}`),
    state.columns,
  );
}

function searchRow(state: ReviewScreenState): Line {
  const query = plainText(state.query, 200);
  if (!state.typing && query === "") return plainLine("find: (press /)", { dim: true });
  const line: Line = [
    { text: "find: ", look: { dim: !state.typing } },
    { text: `${query}${state.typing ? "▏" : ""}`, look: { bold: state.typing } },
  ];
  const trouble = queryTrouble(state.book, state.query);
  return trouble === null ? line : [...line, { text: `  ${plainText(trouble, 200)}`, look: { colour: "yellow" } }];
}

const ASKS: Readonly<Record<ReviewForm["word"], string>> = { accept: "ACCEPT", return: "SEND BACK", note: "NOTE" };

function formRows(state: ReviewScreenState, form: ReviewForm): Line[] {
  const row = state.hits[state.cursor] ?? 0;
  const mark = (field: ReviewForm["field"]): string => (form.field === field ? "▏" : "");
  const text = wrap(`why: ${plainText(form.reason, 2000)}${mark("reason")}`, state.columns).slice(-4);
  return [
    plainLine(`${ASKS[form.word]} ${plainText(state.book.text(row, "section"), 40)} · ${plainText(state.book.text(row, "id"), 40)}`, {
      bold: true,
      inverse: true,
    }),
    plainLine(`name: ${plainText(form.by, 80)}${mark("by")}`, { bold: form.field === "by" }),
    ...text.map((line) => plainLine(line, { bold: form.field === "reason" })),
    plainLine("enter goes on, then seals it for good · tab other field · esc leaves it unsaid", { dim: true }),
  ];
}

/** The side pane wants room for a curve; without it the list has all of the width. */
const LEAST_SIDE = 26;

function tableBody(state: ReviewScreenState, room: number): Line[] {
  const left = state.columns >= 100 ? Math.floor(state.columns * 0.55) : Math.max(46, Math.floor(state.columns * 0.58));
  const side = state.columns - left - 2;
  const hasSide = side >= LEAST_SIDE && room >= 8;
  const width = hasSide ? left : state.columns;
  const list = [tableHead(width), ...tableRows(state, width, room - 1)];
  if (!hasSide) return list;
  const pane = sideRows(state, side, room);
  return Array.from({ length: Math.max(list.length, pane.length) }, (_, y): Line => {
    const line = list[y] ?? [];
    return [...line, { text: `${" ".repeat(Math.max(0, width - lineWidth(line)))}│ `, look: { dim: true } }, ...(pane[y] ?? [])];
  });
}

function body(state: ReviewScreenState, room: number): Line[] {
  if (state.help)
    return HELP.flatMap((text) => (text.length <= state.columns ? [text] : wrap(text, state.columns))).map((text) => plainLine(text));
  switch (state.page) {
    case "table":
      return tableBody(state, room);
    case "record":
      return recordRows(state, room);
    case "overlay":
      return overlayRows(state, room);
    case "alike":
      return alikeRows(state, shownRecord(state), room);
    case "summary":
      return summaryRows(state, room);
    case "zeros":
      return zeroRows(state, room);
  }
}

/** The review as rows of exactly one less than the terminal has (ink clears the whole terminal at each frame when all are used). */
export function layReview(state: ReviewScreenState): Line[] {
  const height = Math.max(1, state.rows - 1);
  const isLow = height < 10;
  const above =
    isLow || state.page === "record" ? [] : [titleRow(state), ...(state.page === "table" || state.query !== "" ? [searchRow(state)] : [])];
  const notice =
    state.notice === null
      ? []
      : wrap(plainText(state.notice, 400), state.columns).map((text) => plainLine(text, { bold: true, inverse: true }));
  const keys = isLow ? [] : [plainLine(state.help ? "any key goes back" : KEYS[state.page], { dim: true })];
  const below = [...(state.form === null ? [] : formRows(state, state.form)), ...notice, ...keys].slice(-Math.max(1, height - 3));
  const room = Math.max(1, height - above.length - below.length);
  const rows = body(state, room).slice(0, room);
  while (rows.length < room) rows.push(plainLine(""));
  return [...above, ...rows, ...below].slice(-height);
}
