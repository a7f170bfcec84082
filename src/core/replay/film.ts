import type { Reading } from "../driver.ts";
import type { JournalEvent } from "../journal.ts";
import type { LiveView, Turn } from "../judging/view.ts";
import type { RecordStart, Verdict } from "../record.ts";
import { type Mark, marksOf } from "./marks.ts";
import { Readings } from "./readings.ts";
import { Tape } from "./tape.ts";
import { Views } from "./views.ts";

/** One event and what it led to. */
export interface Exposure {
  event: JournalEvent;
  readings: readonly Reading[];
  turns: readonly Turn[];
  view: LiveView;
}

/**
 * A recording folded once, with all that a screen showed at every event, so that any place is at hand in either direction. Some 150 bytes a
 * reading at a high rate and 300 at 10 Hz, beside what came down the line: a day of that takes 260 MB.
 */
export class Film {
  /** What it was judged as. */
  readonly start: RecordStart;
  readonly tape = new Tape();
  readonly views = new Views();
  readonly readings = new Readings();
  /** In order of their places. */
  readonly marks: Mark[] = [];
  readonly #turns: { index: number; turn: Turn }[] = [];
  /** Where a page of text begins on the crew's screen. */
  readonly #pages: number[] = [];

  constructor(start: RecordStart) {
    this.start = start;
  }

  /** Events in order, the last of them the `end`. */
  add({ event, readings, turns, view }: Exposure): void {
    const index = this.tape.length;
    const origin_ms = index === 0 ? event.at_ms : this.from_ms;
    this.tape.add(event);
    this.views.add(view);
    for (const reading of readings) this.readings.add(index, (reading.at_ms - origin_ms) / 1000, reading);
    for (const turn of turns) this.#turns.push({ index, turn });
    this.marks.push(...marksOf(event, index, turns, view));
    if (this.views.turnsPage(index)) this.#pages.push(index);
  }

  /** To be called once, after the last event. */
  finish(): this {
    this.tape.trim();
    this.views.trim();
    this.readings.trim();
    return this;
  }

  get length(): number {
    return this.tape.length;
  }

  /** Of the first event. */
  get from_ms(): number {
    return this.tape.reached_ms(0);
  }

  /** Of the last. */
  get to_ms(): number {
    return this.tape.reached_ms(this.length - 1);
  }

  /** What came out at the end; `null` for a recording without an end. */
  get verdict(): Verdict | null {
    return this.length === 0 ? null : this.views.at(this.length - 1).verdict;
  }

  /** The last `most` turns raised up to event `index`, oldest first. */
  turnsUntil(index: number, most: number): Turn[] {
    const after = upper(this.#turns, (one) => one.index <= index);
    return this.#turns.slice(Math.max(0, after - most), after).map(({ turn }) => turn);
  }

  /** Where the page of text began that stood on the crew's screen at event `index`. */
  pageOf(index: number): number {
    return this.#pages[upper(this.#pages, (page) => page <= index) - 1] ?? 0;
  }

  /** The nearest place of a mark after or before event `index`; `null` when there is none. */
  markFrom(index: number, way: 1 | -1): number | null {
    if (way > 0) return this.marks[upper(this.marks, (mark) => mark.index <= index)]?.index ?? null;
    return this.marks[upper(this.marks, (mark) => mark.index < index) - 1]?.index ?? null;
  }

  /** The nearest event after or before `index` that brought a reading; `null` when there is none. */
  readingFrom(index: number, way: 1 | -1): number | null {
    const next = way > 0 ? this.readings.countUpTo(index) : this.readings.countUpTo(index - 1) - 1;
    return next >= 0 && next < this.readings.length ? this.readings.eventOf(next) : null;
  }

  /** The last mark up to event `index`. */
  markAt(index: number): Mark | null {
    return this.marks[upper(this.marks, (mark) => mark.index <= index) - 1] ?? null;
  }
}

/** How many elements of an ordered list come before the first for which `holds` is false. */
function upper<T>(list: readonly T[], holds: (one: T) => boolean): number {
  let low = 0;
  let high = list.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    const one = list[middle];
    if (one !== undefined && holds(one)) low = middle + 1;
    else high = middle;
  }
  return low;
}
