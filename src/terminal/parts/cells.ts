/**
 * Text measured in terminal cells. Ranges: Unicode 15 EastAsianWidth.txt, classes W and F (from memory, coarse by block).
 * Ambiguous characters count one cell, as terminals do outside CJK locales.
 */
const WIDE: readonly (readonly [number, number])[] = [
  [0x1100, 0x115f],
  [0x2e80, 0x303e],
  [0x3041, 0x33ff],
  [0x3400, 0x4dbf],
  [0x4e00, 0x9fff],
  [0xa000, 0xa4cf],
  [0xa960, 0xa97f],
  [0xac00, 0xd7a3],
  [0xf900, 0xfaff],
  [0xfe30, 0xfe6f],
  [0xff01, 0xff60],
  [0xffe0, 0xffe6],
  [0x1f200, 0x1f265],
  [0x20000, 0x3fffd],
];

const ZERO = /^[\p{Mn}\p{Me}\p{Cf}\p{Cc}]/u;
const EMOJI = /^\p{Emoji_Presentation}/u;

function pointCells(character: string): 0 | 1 | 2 {
  const point = character.codePointAt(0) ?? 0;
  if (point >= 0x20 && point < 0x7f) return 1;
  if (ZERO.test(character)) return 0;
  if (EMOJI.test(character)) return 2;
  return WIDE.some(([from, to]) => point >= from && point <= to) ? 2 : 1;
}

const ASCII = /^[\x20-\x7e]*$/;

/** Cells a text takes on one line. */
export function cellWidth(text: string): number {
  if (ASCII.test(text)) return text.length;
  let cells = 0;
  for (const character of text) cells += pointCells(character);
  return cells;
}

/** The longest head of `text` that fits into `cells`. */
export function head(text: string, cells: number): string {
  if (ASCII.test(text)) return text.slice(0, Math.max(0, cells));
  let used = 0;
  let kept = "";
  for (const character of text) {
    used += pointCells(character);
    if (used > cells) break;
    kept += character;
  }
  return kept;
}

/** Cut with an ellipsis when too long, else as it is. */
export const clip = (text: string, cells: number): string =>
  cellWidth(text) <= cells ? text : cells < 1 ? "" : `${head(text, cells - 1)}…`;

/** Words set into lines of at most `cells`; a word longer than a line is broken, nothing is lost. */
export function wrap(text: string, cells: number): string[] {
  const width = Math.max(1, cells);
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(/\s+/).filter((part) => part !== "")) {
    let rest = word;
    const joined = line === "" ? rest : `${line} ${rest}`;
    if (cellWidth(joined) <= width) {
      line = joined;
      continue;
    }
    if (line !== "") lines.push(line);
    while (cellWidth(rest) > width) {
      // A character wider than the line still has to go somewhere, or this would never end.
      const piece = head(rest, width) || [...rest].slice(0, 1).join("");
      lines.push(piece);
      rest = rest.slice(piece.length);
    }
    line = rest;
  }
  if (line !== "") lines.push(line);
  return lines;
}
