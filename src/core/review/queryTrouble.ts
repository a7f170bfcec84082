import { agoFrom } from "../ago.ts";
import { RECORD_SOURCES } from "../link.ts";
import { nearest } from "../nearest.ts";
import { VERDICT_WORDS } from "../record.ts";
import type { ReviewBook, TextColumn } from "./book.ts";
import { finds } from "./find.ts";
import { FIELDS, type TypedWord, wordsOf } from "./query.ts";
import { REVIEW_STATES } from "./row.ts";
import { folded } from "./vocabulary.ts";

/** What may stand in the columns of few words. */
const KNOWN: Partial<Readonly<Record<TextColumn, readonly string[]>>> = {
  word: [...VERDICT_WORDS, "open"],
  second: VERDICT_WORDS,
  state: REVIEW_STATES,
  source: RECORD_SOURCES,
};

/** Words that find by themselves. */
const BARE = [
  ...(KNOWN.word ?? []),
  ...(KNOWN.state ?? []),
  ...RECORD_SOURCES.filter((source) => source !== "gauge"),
  "differs",
  "unsealed",
  "altered",
];
const NAMES = [...Object.keys(FIELDS), "since", "until", "not"];
/** A column with more different texts is not gone through for one that is meant. */
const MOST = 500;

const DAY = /^\d{4}(-(0[1-9]|1[0-2])(-(0[1-9]|[12]\d|3[01]))?)?$/;

const asked = (word: string, meant: string | undefined): string => (meant === undefined ? word : `${word} Did you mean ${meant}?`);

/** What is wrong with a search, in a sentence, so that nothing found is not taken for nothing there; `null`: nothing is. */
export function queryTrouble(book: ReviewBook, typed: string): string | null {
  for (const word of wordsOf(typed)) {
    const trouble = troubleOf(book, word);
    if (trouble !== null) return trouble;
  }
  return null;
}

function troubleOf(book: ReviewBook, { field, text, quoted, term }: TypedWord): string | null {
  if (text === "" || term === null) return null;
  if (field === "since" || field === "until")
    return DAY.test(text) || agoFrom(text) !== null ? null : `${field}:${text} is no day: write 2026, 2026-03, 2026-03-15, 7d or 12h.`;
  if (field === "date" || field === "day") return DAY.test(text) ? null : `${field}:${text} is no day: write 2026, 2026-03 or 2026-03-15.`;
  if (field !== null && !NAMES.includes(field)) {
    const meant = nearest(field, NAMES);
    return meant === undefined || finds(book, term) ? null : `Nothing is sorted under ${field}: did you mean ${meant}:${text}?`;
  }
  const known = term.column === null ? null : (KNOWN[term.column] ?? null);
  if (known !== null) {
    const isKnown = known.some((one) => ` ${one}`.includes(` ${text}`));
    return isKnown ? null : `${asked(`${field}:${text} is not known.`, nearest(text, known))} Known: ${known.join(", ")}.`;
  }
  if (quoted || finds(book, term) || (term.column === null && BARE.some((one) => one.startsWith(text)))) return null;
  const meant = term.column === null ? nearest(text, BARE) : nearestIn(book, term.column, text);
  return meant === undefined ? null : asked(`Nothing holds ${field === null || field === "not" ? "" : `${field}:`}${text}.`, meant);
}

function nearestIn(book: ReviewBook, name: TextColumn, text: string): string | undefined {
  const { vocabulary } = book.column(name);
  if (vocabulary.size > MOST) return undefined;
  const words = Array.from({ length: vocabulary.size }, (_, number) => folded(vocabulary.text(number)).split(" ")).flat();
  return nearest(text, [...new Set(words.filter((word) => word.length > 2))]);
}
