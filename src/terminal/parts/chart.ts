import { stretches, type Trace } from "./trace.ts";

/** What to draw: a window of time and pressure on `columns` × `rows` character cells, each 2 × 4 dots. */
export interface Plot {
  columns: number;
  rows: number;
  from_s: number;
  to_s: number;
  low_Pa: number;
  high_Pa: number;
  /** A dotted level across the whole width; `null`: none. */
  line_Pa: number | null;
}

/** Dot (x, y) of a braille cell → its bit (Unicode block U+2800: dots 1 2 3 7 left, 4 5 6 8 right, top to bottom). */
const BITS = [
  [0x01, 0x02, 0x04, 0x40],
  [0x08, 0x10, 0x20, 0x80],
] as const;

const BLANK = 0x2800;

interface Raster {
  columns: number;
  cells: Uint8Array;
}

function dot(raster: Raster, x: number, y: number): void {
  const bit = BITS[x % 2 === 0 ? 0 : 1][(y % 4) as 0 | 1 | 2 | 3];
  const place = Math.floor(y / 4) * raster.columns + Math.floor(x / 2);
  raster.cells[place] = (raster.cells[place] ?? 0) | bit;
}

/** Lowest and highest dot of each dot column; a column nothing was read in stays absent. */
function columnsOf(plot: Plot, trace: Trace, width: number, yOf: (pressure_Pa: number) => number) {
  const spans = new Map<number, { top: number; bottom: number }>();
  const perDot_s = (plot.to_s - plot.from_s) / width;
  for (const stretch of stretches(trace, plot.from_s, plot.to_s)) {
    const top = yOf(stretch.high_Pa);
    const bottom = yOf(stretch.low_Pa);
    // A stretch wider than a dot fills all its dots; only a real gap in the readings stays a gap.
    const first = Math.max(0, Math.floor((stretch.from_s - plot.from_s) / perDot_s));
    const last = Math.min(width - 1, Math.max(first, Math.ceil((stretch.to_s - plot.from_s) / perDot_s) - 1));
    for (let x = first; x <= last; x++) {
      const span = spans.get(x);
      spans.set(x, span === undefined ? { top, bottom } : { top: Math.min(span.top, top), bottom: Math.max(span.bottom, bottom) });
    }
  }
  return spans;
}

/**
 * The curve as rows of braille characters (a cell without dots is a plain blank: ink's work grows with what is not). Each dot column shows everything between the lowest and the highest reading that
 * falls into it, and reaches over to its neighbour, so that steep stretches stay joined and single peaks stay visible.
 */
export function braille(plot: Plot, trace: Trace): string[] {
  const raster: Raster = {
    columns: plot.columns,
    cells: new Uint8Array(plot.columns * plot.rows),
  };
  const width = plot.columns * 2;
  const height = plot.rows * 4;
  const perDot_Pa = (plot.high_Pa - plot.low_Pa) / (height - 1);
  const yOf = (pressure_Pa: number): number => Math.min(height - 1, Math.max(0, Math.round((plot.high_Pa - pressure_Pa) / perDot_Pa)));
  if (plot.to_s > plot.from_s && perDot_Pa > 0) {
    if (plot.line_Pa !== null && plot.line_Pa >= plot.low_Pa && plot.line_Pa <= plot.high_Pa) {
      // Every fourth dot: told from the curve by its shape, not its colour.
      for (let x = 0; x < width; x += 4) dot(raster, x, yOf(plot.line_Pa));
    }
    let before: { x: number; top: number; bottom: number } | null = null;
    for (const [x, span] of columnsOf(plot, trace, width, yOf)) {
      let { top, bottom } = span;
      if (before !== null && before.x === x - 1) {
        if (before.top > bottom + 1) bottom = before.top - 1;
        if (before.bottom < top - 1) top = before.bottom + 1;
      }
      for (let y = top; y <= bottom; y++) dot(raster, x, y);
      before = { x, ...span };
    }
  }
  return Array.from({ length: plot.rows }, (_, row) =>
    Array.from(raster.cells.subarray(row * plot.columns, (row + 1) * plot.columns), (bits) =>
      bits === 0 ? " " : String.fromCharCode(BLANK + bits),
    ).join(""),
  );
}
