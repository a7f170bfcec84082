import type { OpenedRecord } from "../../core/review/opened.ts";
import { sealWords, secondWords, shownWord } from "../../core/review/opened.ts";
import type { Review, ReviewRow } from "../../core/review/row.ts";
import { plainText } from "../../core/text.ts";
import { litres, pressure } from "../figures.ts";
import { cellWidth, clip, wrap } from "../parts/cells.ts";
import { type Line, type Look, lineWidth, plainLine } from "../parts/line.ts";
import { sourceWord } from "../plain.ts";
import { clockTime } from "../wall.ts";
import { recordChart, scaleFor } from "./reviewChart.ts";
import { type ReviewScreenState, rowAt, shownRecord } from "./reviewState.ts";

const pad = (text: string, cells: number): string => {
  const kept = clip(text, cells);
  return `${kept}${" ".repeat(Math.max(0, cells - cellWidth(kept)))}`;
};

export const WORD_LOOKS: Readonly<Record<string, Look>> = {
  pass: { colour: "green" },
  fail: { colour: "red", bold: true },
  void: { colour: "yellow", bold: true },
  inconclusive: { colour: "yellow" },
  altered: { colour: "red", bold: true, inverse: true },
};

const SOURCES: Readonly<Record<string, string>> = { simulated: "SIM", imported: "IMP", "pseudo-terminal": "PTY" };
const STATES: Readonly<Record<string, string>> = { accepted: "ok", returned: "back", unreviewed: "" };

export const markLetter = (place: number): string => String.fromCharCode(97 + place);

interface Widths {
  section: number;
  stage: number;
  tester: number;
}

/** What is left for names once the fixed columns stand; stage and tester only where there is room. */
function widthsOf(columns: number): Widths {
  const left = columns - FIXED;
  if (left < 28) return { section: Math.max(4, left), stage: 0, tester: 0 };
  const tester = left >= 40 ? 12 : 0;
  return { section: left - 9 - (tester > 0 ? tester + 1 : 0), stage: 8, tester };
}

/** Mark, cursor, verdict, second opinion, review, day and time, source, and blanks between. */
const FIXED = 1 + 1 + 6 + 2 + 5 + 12 + 4;

function cells(row: ReviewRow, { section, stage, tester }: Widths): string {
  const when = `${row.day.slice(5)} ${clockTime(row.started_wall_ms)}`;
  const names = [pad(sectionWords(row), section)];
  if (stage > 0) names.push(pad(plainText(row.stage, 20), stage));
  if (tester > 0) names.push(pad(plainText(row.tester, 40), tester));
  return `${row.differs ? "≠" : " "} ${(STATES[row.state] ?? "").padEnd(5)}${when.padEnd(12)}${(SOURCES[row.source] ?? "").padEnd(4)}${names.join(" ")}`;
}

export function tableHead(columns: number): Line {
  const { section, stage, tester } = widthsOf(columns);
  const names = [pad("section", section), ...(stage > 0 ? [pad("stage", stage)] : []), ...(tester > 0 ? [pad("tester", tester)] : [])];
  return plainLine(`  ${"test".padEnd(6)}2 rev. started     src ${names.join(" ")}`.slice(0, columns), { dim: true });
}

/** `rows` lines of the list with the cursor in sight; each exactly `columns` wide. */
export function tableRows(state: ReviewScreenState, columns: number, rows: number): Line[] {
  const widths = widthsOf(columns);
  const top = Math.max(0, Math.min(state.cursor - Math.floor(rows / 2), state.hits.length - rows));
  return Array.from(state.hits.subarray(top, top + rows), (book, i): Line => {
    const row = state.book.row(book);
    const isHere = top + i === state.cursor;
    const place = state.marks.indexOf(book);
    const word = listWord(row);
    const look: Look = isHere ? { inverse: true } : {};
    const line: Line = [
      { text: `${place < 0 ? " " : markLetter(place)}${isHere ? "▶" : " "}`, look },
      { text: clip(plainText(word), 6).padEnd(6), look: { ...look, ...WORD_LOOKS[row.standing === "altered" ? "altered" : row.word] } },
      { text: cells(row, widths), look },
    ];
    return [...line, { text: " ".repeat(Math.max(0, columns - lineWidth(line))), look }];
  });
}

/** An altered record is told by that, never by its verdict. */
function listWord({ standing, word }: ReviewRow): string {
  if (standing === "altered") return "ALTER!";
  if (word === "open") return "no end";
  return word === "inconclusive" ? "INCON" : word.toUpperCase();
}

/** A missing seal stands before the section: it is the one thing that must not be cut off. */
const sectionWords = ({ standing, section }: ReviewRow): string => `${standing === "unsealed" ? "UNSEALED " : ""}${plainText(section, 60)}`;

export function reviewWords(review: Review): string {
  const done = { accept: "accepted", return: "sent back", note: "note" }[review.word];
  const reason = review.reason === "" ? "" : `: ${plainText(review.reason, 400)}`;
  const altered = review.intact ? "" : "ALTERED, does not count: ";
  return `${altered}${done} by ${plainText(review.by, 60)}${reason}`;
}

export function lossWords(record: OpenedRecord): string {
  const { verdict } = record.end ?? {};
  if (record.altered !== null) return "no figures: they are not what was sealed";
  if (verdict === undefined) return "no verdict yet";
  const scale = scaleFor(record);
  if (verdict.water !== undefined) return `${litres(verdict.water.added_L)} of ${litres(verdict.water.permitted_L)}`;
  const { drop_Pa, permitted_Pa } = verdict.hold;
  if (drop_Pa === null) return `no drop measured; permitted ${pressure(scale, permitted_Pa)}`;
  return `drop ${pressure(scale, drop_Pa)} of ${pressure(scale, permitted_Pa)} (${Math.round((drop_Pa / permitted_Pa) * 100)} %)`;
}

/** Method, gauge and tester, for which the list has little room. */
function whoWords(state: ReviewScreenState): string {
  const { method, gauge, tester } = state.book.row(rowAt(state));
  return [plainText(method, 30), plainText(gauge, 30), plainText(tester, 40)].filter((text) => text !== "").join(" · ");
}

/** The record under the cursor beside the list: verdict, curve, why. */
export function sideRows(state: ReviewScreenState, columns: number, rows: number): Line[] {
  const record = shownRecord(state);
  if (record === null) {
    const words = state.trouble ?? (state.hits.length === 0 ? "Nothing fits what is looked for." : "The curve is being worked out …");
    return wrap(plainText(words, 300), columns).map((text) => plainLine(text, { dim: true }));
  }
  const { start, end } = record;
  const word = shownWord(record);
  const source = sourceWord(start.source);
  const seal = sealWords(record);
  const told = (text: string, look: Look = {}): Line[] => wrap(text, columns).map((line) => plainLine(line, look));
  const second = secondWords(record);
  const last = record.reviews.at(-1);
  const above = [
    ...told(`${word.toUpperCase()} · ${plainText(start.stage, 20)}${start.section.dn_mm === null ? "" : ` · DN ${start.section.dn_mm}`}`, {
      bold: true,
      ...WORD_LOOKS[word],
    }),
    ...(source === null ? [] : told(`${source}: proves no section`, { bold: true })),
    ...(seal === null ? [] : told(seal, { bold: true })),
    ...told(plainText(start.section.id, 60)),
    ...told(whoWords(state)),
    ...told(lossWords(record)),
    ...(second === null ? [] : told(second, { bold: true })),
    ...(last === undefined ? [] : told(reviewWords(last)).slice(0, 2)),
  ];
  const { reasons = [], remarks = [] } = (record.altered === null ? end?.verdict : null) ?? {};
  const below = [...reasons, ...remarks].flatMap(({ text }) => told(`• ${plainText(text, 300)}`));
  const room = rows - above.length - Math.min(below.length, Math.floor(rows / 3));
  return [...above, ...charts(record, columns, Math.min(Math.max(7, room), rows - above.length)), ...below].slice(0, rows);
}

/** Rows from which the hold gets a picture of its own under that of the whole curve. */
const TWO_CHARTS = 22;

function charts(record: OpenedRecord, columns: number, rows: number): Line[] {
  const { from_s = null, to_s = null } = record.end?.verdict.hold ?? {};
  const whole = { columns, window: null, at_s: null };
  if (rows < TWO_CHARTS || from_s === null || to_s === null) return recordChart(record, { ...whole, rows });
  const half = Math.floor(rows / 2);
  return [
    ...recordChart(record, { ...whole, rows: half }),
    ...recordChart(record, { ...whole, rows: rows - half, window: { from_s, to_s } }),
  ];
}
