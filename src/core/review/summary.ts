import type { ReviewBook } from "./book.ts";

export const GROUPS = ["tester", "gauge", "method", "week"] as const;
export type Group = (typeof GROUPS)[number];

/** Records of one tester, gauge, method or week. */
export interface SummaryLine {
  name: string;
  tests: number;
  pass: number;
  fail: number;
  inconclusive: number;
  void: number;
  open: number;
  /** Of all these, those whose source proves no section. */
  notProving: number;
  differs: number;
  unreviewed: number;
  returned: number;
  /** Mean drop as a part of the permitted one, of those that passed with a gauge; `null`: none did. Falls that are always alike are worth a look. */
  meanDrop: number | null;
}

/** Week of a day by ISO 8601: `2026-W09`; the day itself when it is none. A week belongs to the year of its Thursday. */
export function weekOf(day: string): string {
  const at_ms = /^\d{4}-\d\d-\d\d$/.test(day) ? Date.parse(`${day}T00:00:00Z`) : Number.NaN;
  if (Number.isNaN(at_ms)) return day;
  const weekday = (new Date(at_ms).getUTCDay() + 6) % 7;
  const thursday = new Date(at_ms + (3 - weekday) * 86_400_000);
  const year = thursday.getUTCFullYear();
  const week = Math.floor((thursday.getTime() - Date.UTC(year, 0, 1)) / (7 * 86_400_000)) + 1;
  return `${year}-W${String(week).padStart(2, "0")}`;
}

const WORDS = ["pass", "fail", "inconclusive", "void", "open"] as const;
/** What is counted of each row, one slot each; the last two add up drops. */
const SLOTS = [...WORDS, "notProving", "differs", "unreviewed", "returned", "measured", "drops"] as const;
type Slot = (typeof SLOTS)[number];
const WIDTH = SLOTS.length;

/** Counts of these rows of the book; weeks newest first, the others by most tests. */
export function summarise(book: ReviewBook, rows: Uint32Array, by: Group): SummaryLine[] {
  const { vocabulary, numbers } = book.column(by === "week" ? "day" : by);
  const names = new Map<string, number>();
  const groupOf = Uint32Array.from({ length: vocabulary.size }, (_, number) => {
    const text = vocabulary.text(number);
    const name = by === "week" ? weekOf(text) : text;
    const group = names.get(name) ?? names.size;
    names.set(name, group);
    return group;
  });
  const sums = new Float64Array(names.size * WIDTH);
  add(book, rows, numbers, groupOf, sums);
  const lines = [...names]
    .map(([name, group]) => lineOf(name, sums.subarray(group * WIDTH, (group + 1) * WIDTH)))
    .filter(({ tests }) => tests > 0);
  return by === "week"
    ? lines.sort((a, b) => (a.name < b.name ? 1 : -1))
    : lines.sort((a, b) => b.tests - a.tests || (a.name < b.name ? -1 : 1));
}

/** Plain loops over columns: counts must keep up with typing over a hundred thousand rows. */
function add(book: ReviewBook, rows: Uint32Array, numbers: Uint32Array, groupOf: Uint32Array, sums: Float64Array): void {
  const code = (name: "word" | "source" | "state" | "differs", read: (text: string) => number) => {
    const { vocabulary, numbers: own } = book.column(name);
    return { own, codes: Uint8Array.from({ length: vocabulary.size }, (_, number) => read(vocabulary.text(number))) };
  };
  const word = code("word", (text) => Math.max(0, WORDS.indexOf(WORDS.find((known) => known === text) ?? "open")));
  const source = code("source", (text) => (text === "gauge" ? 0 : 1));
  const differs = code("differs", (text) => (text === "" ? 0 : 1));
  const state = code("state", (text) => (text === "unreviewed" ? 1 : text === "returned" ? 2 : 0));
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i] ?? 0;
    const base = (groupOf[numbers[row] ?? 0] ?? 0) * WIDTH;
    const verdict = word.codes[word.own[row] ?? 0] ?? 0;
    const isNotProving = source.codes[source.own[row] ?? 0] ?? 0;
    const stands = state.codes[state.own[row] ?? 0] ?? 0;
    sums[base + verdict] = (sums[base + verdict] ?? 0) + 1;
    sums[base + 5] = (sums[base + 5] ?? 0) + isNotProving;
    sums[base + 6] = (sums[base + 6] ?? 0) + (differs.codes[differs.own[row] ?? 0] ?? 0);
    if (stands > 0) sums[base + 6 + stands] = (sums[base + 6 + stands] ?? 0) + 1;
    const drop = book.drop[row] ?? Number.NaN;
    if (verdict !== 0 || isNotProving !== 0 || Number.isNaN(drop)) continue;
    sums[base + 9] = (sums[base + 9] ?? 0) + 1;
    sums[base + 10] = (sums[base + 10] ?? 0) + drop;
  }
}

function lineOf(name: string, sums: Float64Array): SummaryLine {
  const sum = (slot: Slot): number => sums[SLOTS.indexOf(slot)] ?? 0;
  const tests = WORDS.reduce((all, word) => all + sum(word), 0);
  const counts = Object.fromEntries(
    SLOTS.filter((slot) => slot !== "measured" && slot !== "drops").map((slot) => [slot, sum(slot)]),
  ) as Omit<SummaryLine, "name" | "tests" | "meanDrop">;
  return { name, tests, ...counts, meanDrop: sum("measured") === 0 ? null : sum("drops") / sum("measured") };
}
