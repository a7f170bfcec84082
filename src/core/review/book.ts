import type { RecordSource } from "../link.ts";
import type { VerdictWord } from "../record.ts";
import type { ReviewRow, ReviewState } from "./row.ts";
import { Vocabulary } from "./vocabulary.ts";

/** The columns that hold texts; those of few values are told by the beginning of a word. */
export const TEXT_COLUMNS = [
  "section",
  "stage",
  "method",
  "gauge",
  "tester",
  "codes",
  "id",
  "day",
  "word",
  "second",
  "source",
  "state",
  "differs",
  "standing",
] as const;
export type TextColumn = (typeof TEXT_COLUMNS)[number];

export interface Coded {
  own: Uint32Array;
  codes: Uint8Array;
}

/** What an order may rest on. */
const SORTED = ["section", "stage", "method", "gauge", "tester", "word", "source", "standing", "started_wall_ms", "drop"] as const;

interface Column {
  vocabulary: Vocabulary;
  /** One number a row. */
  numbers: Uint32Array;
}

/**
 * All records of an archive as columns, so that a hundred thousand of them are searched, sorted and counted within a frame. Row numbers count
 * from 0 in the order handed in. It changes in one way only: by `change`.
 */
export class ReviewBook {
  readonly size: number;
  /** Wall time it was read at, from which `since:7d` counts; `NaN`: not known, and nothing is so long ago. */
  readonly read_wall_ms: number;
  readonly started_wall_ms: Float64Array;
  /** `NaN`: not measured. */
  readonly drop: Float64Array;
  readonly #numbers: Uint32Array;
  readonly #columns: Record<TextColumn, Column>;
  readonly #orders = new Map<string, Uint32Array>();

  constructor(rows: Iterable<ReviewRow>, size: number, read_wall_ms = Number.NaN) {
    this.read_wall_ms = read_wall_ms;
    this.#columns = Object.fromEntries(
      TEXT_COLUMNS.map((name): [string, Column] => [name, { vocabulary: new Vocabulary(), numbers: new Uint32Array(size) }]),
    ) as Record<TextColumn, Column>;
    this.started_wall_ms = new Float64Array(size);
    this.drop = new Float64Array(size).fill(Number.NaN);
    this.#numbers = new Uint32Array(size);
    let at = 0;
    for (const row of rows) {
      if (at < size) this.#put(at, row);
      at++;
    }
    this.size = Math.min(at, size);
  }

  #put(at: number, row: ReviewRow): void {
    for (const name of TEXT_COLUMNS) {
      const { vocabulary, numbers } = this.#columns[name];
      const value = row[name];
      numbers[at] = vocabulary.number(typeof value === "string" ? value : value ? "differs" : "");
    }
    this.started_wall_ms[at] = row.started_wall_ms;
    this.drop[at] = row.drop ?? Number.NaN;
    this.#numbers[at] = row.number;
  }

  column(name: TextColumn): Readonly<Column> {
    return this.#columns[name];
  }

  /** What `read` makes of each different text of a column, 0 to 255; `own` are the rows' numbers of them. */
  coded(name: TextColumn, read: (text: string) => number): Coded {
    const { vocabulary, numbers } = this.#columns[name];
    return { own: numbers, codes: Uint8Array.from({ length: vocabulary.size }, (_, number) => read(vocabulary.text(number))) };
  }

  text(row: number, name: TextColumn): string {
    const { vocabulary, numbers } = this.#columns[name];
    return vocabulary.text(numbers[row] ?? -1);
  }

  /** The archive's number of the record in this row. */
  number(row: number): number {
    return this.#numbers[row] ?? -1;
  }

  /** The row of the archive's record of this number; -1: there is none. */
  rowOf(number: number): number {
    return this.#numbers.indexOf(number);
  }

  row(row: number): ReviewRow {
    const text = (name: TextColumn): string => this.text(row, name);
    const drop = this.drop[row] ?? Number.NaN;
    return {
      number: this.number(row),
      id: text("id"),
      started_wall_ms: this.started_wall_ms[row] ?? Number.NaN,
      day: text("day"),
      section: text("section"),
      stage: text("stage"),
      method: text("method"),
      gauge: text("gauge"),
      tester: text("tester"),
      source: text("source") as RecordSource,
      word: text("word") as VerdictWord | "open",
      codes: text("codes"),
      second: text("second") as VerdictWord | "",
      differs: text("differs") !== "",
      standing: text("standing") as ReviewRow["standing"],
      state: text("state") as ReviewState,
      drop: Number.isNaN(drop) ? null : drop,
    };
  }

  /** What became known of a row since: its review, its second opinion, or that its line was not what its record gives. */
  change(row: number, news: Partial<Omit<ReviewRow, "number" | "id">>): void {
    if (row < 0 || row >= this.size) return;
    const next = { ...this.row(row), ...news };
    if (SORTED.some((name) => this.row(row)[name] !== next[name])) this.#orders.clear();
    this.#put(row, next);
  }

  /** An order worked out once and kept until a row changes in what may be sorted by. */
  order(name: string, make: () => Uint32Array): Uint32Array {
    const known = this.#orders.get(name);
    if (known !== undefined) return known;
    const made = make();
    this.#orders.set(name, made);
    return made;
  }
}
