import type { Line, Look, Piece } from "./line.ts";

/** Dot (x, y) of a braille cell → its bit (Unicode block U+2800: dots 1 2 3 7 left, 4 5 6 8 right, top to bottom). */
const BITS = [
  [0x01, 0x02, 0x04, 0x40],
  [0x08, 0x10, 0x20, 0x80],
] as const;

interface Glyph {
  sign: string;
  look: Look | undefined;
}

/** A field of character cells, 2 × 4 dots each, on which single cells may hold a sign instead. */
export class Canvas {
  readonly columns: number;
  readonly rows: number;
  readonly #bits: Uint8Array;
  readonly #glyphs = new Map<number, Glyph>();

  constructor(columns: number, rows: number) {
    this.columns = Math.max(0, columns);
    this.rows = Math.max(0, rows);
    this.#bits = new Uint8Array(this.columns * this.rows);
  }

  get width(): number {
    return this.columns * 2;
  }

  get height(): number {
    return this.rows * 4;
  }

  /** What lies outside is left out. */
  dot(x: number, y: number): void {
    if (x < 0 || y < 0 || x >= this.width || y >= this.height) return;
    const place = (y >> 2) * this.columns + (x >> 1);
    this.#bits[place] = (this.#bits[place] ?? 0) | BITS[x % 2 === 0 ? 0 : 1][(y % 4) as 0 | 1 | 2 | 3];
  }

  /** One sign of one cell's width at a dot's cell; the last one stays. */
  sign(x: number, y: number, sign: string, look?: Look): void {
    if (x < 0 || y < 0 || x >= this.width || y >= this.height) return;
    this.#glyphs.set((y >> 2) * this.columns + (x >> 1), { sign, look });
  }

  /** A cell without dots is a plain blank: ink's work grows with what is not. */
  lines(look?: Look): Line[] {
    return Array.from({ length: this.rows }, (_, row) => this.#line(row, look));
  }

  #line(row: number, look: Look | undefined): Line {
    const pieces: Piece[] = [];
    let text = "";
    const flush = (): void => {
      if (text !== "") pieces.push(look === undefined ? { text } : { text, look });
      text = "";
    };
    for (let column = 0; column < this.columns; column++) {
      const place = row * this.columns + column;
      const glyph = this.#glyphs.get(place);
      const bits = this.#bits[place] ?? 0;
      if (glyph === undefined || glyph.look === undefined) text += glyph?.sign ?? (bits === 0 ? " " : String.fromCharCode(0x2800 + bits));
      else {
        flush();
        pieces.push({ text: glyph.sign, look: glyph.look });
      }
    }
    flush();
    return pieces;
  }
}
