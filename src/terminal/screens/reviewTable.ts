import type { ReviewRow } from "../../core/review/row.ts";
import { plainText } from "../../core/text.ts";
import { cellWidth, clip } from "../parts/cells.ts";
import { type Line, type Look, lineWidth, plainLine } from "../parts/line.ts";
import { clockTime } from "../wall.ts";
import type { ReviewScreenState } from "./reviewState.ts";

const pad = (text: string, cells: number): string => {
  const kept = clip(text, cells);
  return `${kept}${" ".repeat(Math.max(0, cells - cellWidth(kept)))}`;
};

/** How a verdict's word is drawn; also `altered`. */
export const WORD_LOOKS: Readonly<Record<string, Look>> = {
  pass: { colour: "green" },
  fail: { colour: "red", bold: true },
  void: { colour: "yellow", bold: true },
  inconclusive: { colour: "yellow" },
  altered: { colour: "red", bold: true, inverse: true },
};

const SOURCES: Readonly<Record<string, string>> = { simulated: "SIM", imported: "IMP", "pseudo-terminal": "PTY" };
const STATES: Readonly<Record<string, string>> = { accepted: "ok", returned: "back", unreviewed: "" };

/** The letter of a marked record, `place` from 0; curves laid on one another bear it too. */
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

/** The names of the columns that `tableRows` has at this width. */
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
