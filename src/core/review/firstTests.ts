import type { Coded, ReviewBook } from "./book.ts";

/** A test of no named section says of none that it was its first. */
const UNNAMED = "unnamed";

/** 1 where a real gauge was read; what is simulated or imported proves nothing. */
export const isProof = (book: ReviewBook): Coded => book.coded("source", (text) => (text === "gauge" ? 1 : 0));

/** 1 where a record was looked at and is not what was sealed. */
export const isAltered = (book: ReviewBook): Coded => book.coded("standing", (text) => (text === "altered" ? 1 : 0));

/**
 * 1 for each record that is the first of its section and stage, in the whole book, that said something of the pipe: not void, not without an end.
 * With `proving` only of those read from a gauge.
 */
export function firstTests(book: ReviewBook, proving: boolean): Uint32Array {
  return book.order(proving ? "first proof" : "first", () => {
    const earliest = new Map<number, number>();
    const { numbers: sections } = book.column("section");
    const { numbers: stages, vocabulary } = book.column("stage");
    const counts = countable(book, proving);
    for (let row = 0; row < book.size; row++) {
      if (!counts(row)) continue;
      const key = (sections[row] ?? 0) * vocabulary.size + (stages[row] ?? 0);
      const known = earliest.get(key);
      if (known === undefined || (book.started_wall_ms[row] ?? 0) < (book.started_wall_ms[known] ?? 0)) earliest.set(key, row);
    }
    const first = new Uint32Array(book.size);
    for (const row of earliest.values()) first[row] = 1;
    return first;
  });
}

function countable(book: ReviewBook, proving: boolean): (row: number) => boolean {
  const no = [
    book.coded("section", (text) => (text === UNNAMED ? 1 : 0)),
    book.coded("word", (text) => (text === "void" || text === "open" ? 1 : 0)),
    isAltered(book),
  ];
  const proof = isProof(book);
  return (row) => {
    for (const { own, codes } of no) if (codes[own[row] ?? 0] === 1) return false;
    return !proving || proof.codes[proof.own[row] ?? 0] === 1;
  };
}
