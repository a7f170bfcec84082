import type { TextColumn } from "./book.ts";
import { folded } from "./vocabulary.ts";

/** One wish of a search; all of them must hold. */
export interface Term {
  not: boolean;
  /** `null`: in any of the columns people read. */
  column: TextColumn | null;
  /** Folded; for `since` and `until` a day or its beginning, or `7d`, `12h` ago. */
  text: string;
  test: "holds" | "since" | "until";
}

/** What people call a column. */
export const FIELDS: Readonly<Record<string, TextColumn>> = {
  section: "section",
  stage: "stage",
  verdict: "word",
  method: "method",
  gauge: "gauge",
  tester: "tester",
  by: "tester",
  remark: "codes",
  reason: "codes",
  date: "day",
  day: "day",
  second: "second",
  source: "source",
  state: "state",
  id: "id",
};

const WORD = /(-?)(?:([a-z]+):)?(?:"([^"]*)"?|(\S*))/giy;

/**
 * What is typed into the search line → terms: `fail mill lane`, `-simulated` or `not:simulated`, `tester:tarn`, `since:2026-03`, `"S3 S4"`. Nothing is an error:
 * it is read while it is being typed.
 */
export const termsOf = (typed: string): Term[] => wordsOf(typed).flatMap(({ term }) => (term === null ? [] : [term]));

/** One word as it was typed, folded, with what it wishes; `field`: what stands before its colon. */
export interface TypedWord {
  whole: string;
  field: string | null;
  text: string;
  quoted: boolean;
  term: Term | null;
}

/** The first 400 characters as words; see `termsOf`. */
export function wordsOf(typed: string): TypedWord[] {
  const words: TypedWord[] = [];
  const text = folded(typed.slice(0, 400));
  for (let place = 0; place < text.length; ) {
    if (/\s/.test(text[place] ?? "")) {
      place++;
      continue;
    }
    WORD.lastIndex = place;
    const found = WORD.exec(text);
    if (found === null) break;
    place = WORD.lastIndex;
    const [whole = "", , field, quoted, bare] = found;
    words.push({ whole, field: field ?? null, text: (quoted ?? bare ?? "").trim(), quoted: quoted !== undefined, term: termOf(found) });
  }
  return words;
}

function termOf([whole = "", minus, field, quoted, bare]: RegExpExecArray): Term | null {
  // Written out, too, for on a command line a word that begins with a dash is an option.
  const not = minus === "-" || field === "not";
  const text = (quoted ?? bare ?? "").trim();
  if (field === "not") return text === "" ? null : { not, column: null, text, test: "holds" };
  if (field === "since" || field === "until") return text === "" ? null : { not, column: "day", text, test: field };
  const column = field === undefined ? null : FIELDS[field];
  // An unknown word before a colon is part of what is looked for.
  if (column === undefined) return { not, column: null, text: minus === "-" ? whole.slice(1) : whole, test: "holds" };
  return text === "" ? null : { not, column, text, test: "holds" };
}
