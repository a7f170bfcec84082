import { VERDICT_WORDS } from "../record.ts";
import type { ReviewBook } from "./book.ts";
import { firstTests, isAltered, isProof } from "./firstTests.ts";
import { weekOf } from "./week.ts";

/** What records may be summed up by. */
export const GROUPS = ["tester", "gauge", "method", "week"] as const;
export type Group = (typeof GROUPS)[number];

/** Records of one tester, gauge, method or week. Only `notProving` and `altered` tell of records that count for nothing. */
export interface SummaryLine {
  name: string;
  tests: number;
  pass: number;
  fail: number;
  inconclusive: number;
  void: number;
  open: number;
  /** Those whose source proves no section. */
  notProving: number;
  /** Looked at, and not what was sealed. */
  altered: number;
  differs: number;
  unreviewed: number;
  returned: number;
  /** Sections whose first test that was not void is among these, and how many of them passed it. */
  first: { of: number; passed: number };
  /** Mean drop as a part of the permitted one, of those that passed; `null`: none did. Falls that are always alike are worth a look. */
  meanDrop: number | null;
}

export interface Summary {
  lines: SummaryLine[];
  /** False: none of the records was read from a gauge, and they were counted all the same. Else only those that were. */
  proving: boolean;
}

/** Void attempts of all that ended; `null`: none did. */
export function voidPart({ pass, fail, inconclusive, void: voids }: SummaryLine): number | null {
  const ended = pass + fail + inconclusive + voids;
  return ended === 0 ? null : voids / ended;
}

const WORDS = [...VERDICT_WORDS, "open"] as const;
/** What is counted of each row, one slot each. */
const SLOTS = [
  ...WORDS,
  "notProving",
  "altered",
  "differs",
  "unreviewed",
  "returned",
  "firstPassed",
  "firstMissed",
  "measured",
  "drops",
] as const;
type Slot = (typeof SLOTS)[number];
const WIDTH = SLOTS.length;
const slot = (name: Slot): number => SLOTS.indexOf(name);
const FLAGS = [slot("notProving"), slot("altered"), slot("differs"), slot("firstPassed"), slot("firstMissed")] as const;

/** Counts of these rows of the book; weeks newest first, the others by most tests. */
export function summarise(book: ReviewBook, rows: Uint32Array, by: Group): Summary {
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
  const proving = hasProof(book, rows);
  add(book, rows, { numbers, groupOf }, sums, proving);
  const lines = [...names]
    .map(([name, group]) => lineOf(name, sums.subarray(group * WIDTH, (group + 1) * WIDTH)))
    .filter(({ tests, notProving, altered }) => tests + notProving + altered > 0);
  const order = (a: SummaryLine, b: SummaryLine): number => (a.name < b.name ? -1 : 1);
  return { proving, lines: lines.sort(by === "week" ? (a, b) => order(b, a) : (a, b) => b.tests - a.tests || order(a, b)) };
}

function hasProof(book: ReviewBook, rows: Uint32Array): boolean {
  const { own, codes } = isProof(book);
  for (let i = 0; i < rows.length; i++) if (codes[own[rows[i] ?? 0] ?? 0] === 1) return true;
  return false;
}

/** A number for what each row is, from a column of few different texts. */
function lookups(book: ReviewBook, proving: boolean) {
  return {
    word: book.coded("word", (text) => Math.max(0, WORDS.indexOf(WORDS.find((known) => known === text) ?? "open"))),
    proof: isProof(book),
    altered: isAltered(book),
    differs: book.coded("differs", (text) => (text === "" ? 0 : 1)),
    state: book.coded("state", (text) => (text === "unreviewed" ? slot("unreviewed") : text === "returned" ? slot("returned") : 0)),
    first: firstTests(book, proving),
  };
}

/** Plain loops over columns: counts must keep up with typing over a hundred thousand rows. */
function add(
  book: ReviewBook,
  rows: Uint32Array,
  { numbers, groupOf }: { numbers: Uint32Array; groupOf: Uint32Array },
  sums: Float64Array,
  proving: boolean,
): void {
  const { word, proof, altered, differs, state, first } = lookups(book, proving);
  const [iNotProving, iAltered, iDiffers, iPassed, iMissed] = FLAGS;
  const [iMeasured, iDrops] = [slot("measured"), slot("drops")];
  const count = (at: number, by: number): void => {
    sums[at] = (sums[at] ?? 0) + by;
  };
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i] ?? 0;
    const base = (groupOf[numbers[row] ?? 0] ?? 0) * WIDTH;
    const isProving = proof.codes[proof.own[row] ?? 0] === 1;
    if (!isProving) count(base + iNotProving, 1);
    const isBad = altered.codes[altered.own[row] ?? 0] === 1;
    if (isBad) count(base + iAltered, 1);
    if (isBad || (proving && !isProving)) continue;
    const verdict = word.codes[word.own[row] ?? 0] ?? 0;
    count(base + verdict, 1);
    if (differs.codes[differs.own[row] ?? 0] === 1) count(base + iDiffers, 1);
    const stands = state.codes[state.own[row] ?? 0] ?? 0;
    if (stands > 0) count(base + stands, 1);
    if (first[row] === 1) count(base + (verdict === 0 ? iPassed : iMissed), 1);
    const drop = book.drop[row] ?? Number.NaN;
    if (verdict !== 0 || Number.isNaN(drop)) continue;
    count(base + iMeasured, 1);
    count(base + iDrops, drop);
  }
}

function lineOf(name: string, sums: Float64Array): SummaryLine {
  const sum = (of: Slot): number => sums[slot(of)] ?? 0;
  const { pass, fail, inconclusive, void: voids, open } = counts(sum, WORDS);
  const tests = pass + fail + inconclusive + voids + open;
  const others = counts(sum, ["notProving", "altered", "differs", "unreviewed", "returned"]);
  const first = { of: sum("firstPassed") + sum("firstMissed"), passed: sum("firstPassed") };
  const meanDrop = sum("measured") === 0 ? null : sum("drops") / sum("measured");
  return { name, tests, pass, fail, inconclusive, void: voids, open, ...others, first, meanDrop };
}

const counts = <S extends Slot>(sum: (of: Slot) => number, names: readonly S[]): Record<S, number> =>
  Object.fromEntries(names.map((name) => [name, sum(name)])) as Record<S, number>;
