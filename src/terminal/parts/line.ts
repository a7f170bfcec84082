import { cellWidth, head } from "./cells.ts";

/** How a piece of a line looks. Colour never carries a meaning that the words and shapes do not. */
export interface Look {
  bold?: boolean;
  dim?: boolean;
  inverse?: boolean;
  colour?: "red" | "green" | "yellow" | "cyan";
}

export interface Piece {
  text: string;
  look?: Look;
}

/** One row of the screen. */
export type Line = readonly Piece[];

export const plainLine = (text: string, look?: Look): Line => (look === undefined ? [{ text }] : [{ text, look }]);

export const lineWidth = (line: Line): number => line.reduce((cells, piece) => cells + cellWidth(piece.text), 0);

/** `left` and `right` on one row; when both do not fit, the right one stays whole (it is the short one). */
export function spread(left: Line, right: Line, columns: number): Line {
  const room = columns - lineWidth(right);
  const kept = cut(left, Math.max(0, room - 1));
  return [...kept, { text: " ".repeat(Math.max(0, room - lineWidth(kept))) }, ...right];
}

/** The line cut to `columns` cells. */
function cut(line: Line, columns: number): Line {
  if (lineWidth(line) <= columns) return line;
  const kept: Piece[] = [];
  let room = Math.max(0, columns - 1);
  for (const piece of line) {
    const text = head(piece.text, room);
    room -= cellWidth(text);
    kept.push({ ...piece, text });
    if (text !== piece.text) break;
  }
  if (columns > 0) kept.push({ text: "…" });
  return kept;
}

const COLOURS = { red: 31, green: 32, yellow: 33, cyan: 36 } as const;

function paintPiece({ text, look }: Piece, colour: boolean): string {
  if (look === undefined || text === "") return text;
  // ECMA-48 select graphic rendition: 1 bold, 2 faint, 7 negative, 31–36 colours.
  const codes: number[] = [];
  if (look.bold) codes.push(1);
  if (look.dim && colour) codes.push(2);
  if (look.inverse) codes.push(7);
  if (look.colour !== undefined && colour) codes.push(COLOURS[look.colour]);
  return codes.length === 0 ? text : `\u001b[${codes.join(";")}m${text}\u001b[0m`;
}

/** The row as written to the terminal, without blanks at its end. Without colour, bold and inverse stay: NO_COLOR asks for no colour, not for no emphasis. */
export const paint = (line: Line, columns: number, colour: boolean): string =>
  cut(line, columns)
    .map((piece) => paintPiece(piece, colour))
    .join("")
    .trimEnd();
