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

type Counts = Omit<SummaryLine, "name" | "meanDrop"> & { drops: number; measured: number };

const EMPTY: Counts = {
  tests: 0,
  pass: 0,
  fail: 0,
  inconclusive: 0,
  void: 0,
  open: 0,
  notProving: 0,
  differs: 0,
  unreviewed: 0,
  returned: 0,
  drops: 0,
  measured: 0,
};

/** Counts of these rows of the book; weeks newest first, the others by most tests. */
export function summarise(book: ReviewBook, rows: Uint32Array, by: Group): SummaryLine[] {
  const { vocabulary, numbers } = book.column(by === "week" ? "day" : by);
  const groups = new Map<string, Counts>();
  const groupOf = Array.from({ length: vocabulary.size }, (_, number): Counts => {
    const text = vocabulary.text(number);
    const name = by === "week" ? weekOf(text) : text;
    const known = groups.get(name);
    if (known !== undefined) return known;
    const fresh = { ...EMPTY };
    groups.set(name, fresh);
    return fresh;
  });
  const count = counter(book);
  for (const row of rows) {
    const group = groupOf[numbers[row] ?? 0];
    if (group !== undefined) count(group, row);
  }
  const lines = [...groups].filter(([, { tests }]) => tests > 0).map(([name, counts]) => lineOf(name, counts));
  return by === "week"
    ? lines.sort((a, b) => (a.name < b.name ? 1 : -1))
    : lines.sort((a, b) => b.tests - a.tests || (a.name < b.name ? -1 : 1));
}

const WORDS = ["pass", "fail", "inconclusive", "void", "open"] as const;

function counter(book: ReviewBook): (group: Counts, row: number) => void {
  const [word, source, state, differs] = [book.column("word"), book.column("source"), book.column("state"), book.column("differs")];
  const pick = <T>(of: typeof word, read: (text: string) => T): T[] =>
    Array.from({ length: of.vocabulary.size }, (_, number) => read(of.vocabulary.text(number)));
  const words = pick(word, (text) => WORDS.find((known) => known === text) ?? "open");
  const proving = pick(source, (text) => text === "gauge");
  const states = pick(state, (text) => text);
  const differing = pick(differs, (text) => text !== "");
  return (group, row) => {
    const verdict = words[word.numbers[row] ?? 0] ?? "open";
    const isProving = proving[source.numbers[row] ?? 0] === true;
    const stands = states[state.numbers[row] ?? 0];
    group.tests++;
    group[verdict]++;
    if (!isProving) group.notProving++;
    if (differing[differs.numbers[row] ?? 0] === true) group.differs++;
    if (stands === "unreviewed") group.unreviewed++;
    if (stands === "returned") group.returned++;
    const drop = book.drop[row] ?? Number.NaN;
    if (isProving && verdict === "pass" && !Number.isNaN(drop)) {
      group.drops += drop;
      group.measured++;
    }
  };
}

const lineOf = (name: string, { drops, measured, ...counts }: Counts): SummaryLine => ({
  name,
  ...counts,
  meanDrop: measured === 0 ? null : drops / measured,
});
