import type { Database } from "better-sqlite3";
import { RECORD_SOURCES } from "../core/link.ts";
import { VERDICT_WORDS } from "../core/record.ts";
import { ReviewBook } from "../core/review/book.ts";
import { REVIEW_STATES, type ReviewRow, stateOf } from "../core/review/row.ts";
import type { Archive } from "./open.ts";
import { lineReader, type ReviewLine } from "./reviewLine.ts";
import { reviewsOf } from "./reviews.ts";
import { readyForReview } from "./reviewTables.ts";
import { knowsSeals } from "./sealedJournal.ts";
import { recordStanding } from "./standings.ts";
import { guarded } from "./trouble.ts";

/** Raised when a line would be made otherwise; older ones are then made again. */
const LINE_VERSION = 1;

/** Makes the lines that are missing or out of date. Cheap when none is. */
export function refreshLines(archive: Archive): void {
  readyForReview(archive);
  const { db, path } = archive;
  guarded(path, () => {
    const due = dueLines(db);
    const entries = newReviews(archive);
    if (due.length === 0 && entries.last === null) return;
    const step = db.transaction(() => {
      const read = lineReader(archive);
      const keep = lineKeeper(db);
      for (const number of due) keep(read(number));
      const update = db.prepare("update review_lines set state = ? where id = ?");
      for (const id of entries.subjects) update.run(stateOf(reviewsOf(archive, id)), id);
      if (entries.last !== null) db.prepare("update review_mark set entry = ?").run(entries.last);
    });
    if (archive.mode === "write") step.immediate();
    else step();
  });
}

/** Only the narrow table and an index are gone through: rows of records are wide. */
function dueLines(db: Database): number[] {
  const missing = db.prepare<[], number>("select number from records where number not in (select record from review_lines)").pluck().all();
  const stale = db
    .prepare<[number], number>(
      "select record from review_lines where version <> ? or (word = 'open' and exists (select 1 from ends e where e.record = review_lines.record))",
    )
    .pluck()
    .all(LINE_VERSION);
  return [...missing, ...stale];
}

function newReviews(archive: Archive): { subjects: Set<string>; last: number | null } {
  if (!knowsSeals(archive)) return { subjects: new Set(), last: null };
  const rows = archive.db
    .prepare<[], { entry: number; kind: string; subject: string }>(
      "select entry, kind, subject from seals where entry > (select entry from review_mark) order by entry",
    )
    .all();
  return { subjects: new Set(rows.filter((row) => row.kind === "review").map((row) => row.subject)), last: rows.at(-1)?.entry ?? null };
}

const INSERT = `insert or replace into review_lines
  (record, version, id, started_wall_ms, section, stage, method, gauge, tester, source, word, codes, drop_part, second, differs, state)
  values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`;

function lineKeeper(db: Database): (line: ReviewLine | null) => void {
  const insert = db.prepare(INSERT);
  return (line) => {
    if (line !== null) insert.run(...valuesOf(line));
  };
}

function valuesOf(line: ReviewLine): (string | number | null)[] {
  const { number, id, started_wall_ms, section, stage, method, gauge, tester, source, word, codes, drop, second, differs, state } = line;
  const told = [id, started_wall_ms, section, stage, method, gauge, tester, source, word, codes];
  return [number, LINE_VERSION, ...told, drop, second, differs ? 1 : 0, state];
}

type Raw = [number, string, number, string, string, string, string, string, string, string, string, number | null, string, number, string];

/** All lines, up to date, as one book read at `now_wall_ms`. `dayOf` writes a wall time as a day on this machine's clock. */
export function reviewBook(archive: Archive, dayOf: (wall_ms: number) => string, now_wall_ms = Number.NaN): ReviewBook {
  refreshLines(archive);
  const sql = `select record, id, started_wall_ms, section, stage, method, gauge, tester, source, word, codes, drop_part, second, differs, state
    from review_lines`;
  const rows = guarded(archive.path, () => archive.db.prepare<[], Raw>(sql).raw().all());
  return new ReviewBook(rowsOf(rows, dayOf, sealedIds(archive)), rows.length, now_wall_ms);
}

/** Asked anew each time, from an index alone: a seal that was taken away is not to be hidden by what lists keep. */
function sealedIds(archive: Archive): ReadonlySet<string> {
  if (!knowsSeals(archive)) return new Set();
  const ask = archive.db.prepare<[], string>("select subject from seals indexed by seals_by_subject where kind = 'record'").pluck();
  return new Set(guarded(archive.path, () => ask.all()));
}

const WORDS = [...VERDICT_WORDS, "open"] as const;
const SECONDS = [...VERDICT_WORDS, ""] as const;
const oneOf = <T extends string>(known: readonly T[], text: string, other: T): T => known.find((one) => one === text) ?? other;

/** Lines lie open: a word that is none of ours is taken for the one that claims least. */
const wordsOf = (...[source, word, second, state]: [string, string, string, string]) => ({
  source: oneOf(RECORD_SOURCES, source, "imported"),
  word: oneOf(WORDS, word, "open"),
  second: oneOf(SECONDS, second, ""),
  state: oneOf(REVIEW_STATES, state, "unreviewed"),
});

function* rowsOf(rows: readonly Raw[], dayOf: (wall_ms: number) => string, sealed: ReadonlySet<string>): Generator<ReviewRow> {
  const days = new Map<number, string>();
  for (const raw of rows) {
    const [number, id, started_wall_ms, section, stage, method, gauge, tester, source, word, codes, drop, second, differs, state] = raw;
    // Quarters of an hour never lie across a midnight, in any zone; asking the calendar for each record would take longer than all the rest.
    const quarter = Math.floor(started_wall_ms / 900_000);
    const day = days.get(quarter) ?? dayOf(started_wall_ms);
    days.set(quarter, day);
    const words = wordsOf(source, word, second, state);
    const standing = words.word === "open" || sealed.has(id) ? "" : "unsealed";
    const told = { number, id, started_wall_ms, day, section, stage, method, gauge, tester, codes, drop, standing } as const;
    yield { ...told, differs: differs === 1, ...words };
  }
}

/**
 * Holds rows of the book against the seals of their records: an altered record is marked, and a line that is not what its record gives is made
 * again. The bytes of journals are not looked at, nor what the whole-curve judge made of them; true when a row changed.
 */
export function holdAgainstSeals(archive: Archive, book: ReviewBook, rows: Iterable<number>, dayOf: (wall_ms: number) => string): boolean {
  const read = lineReader(archive);
  const keep = lineKeeper(archive.db);
  let isChanged = false;
  for (const row of rows) {
    const before = book.row(row);
    const { standing } = recordStanding(archive, before.id, false);
    const line = standing === "altered" ? null : read(before.number);
    const bare = { standing: standing === "sealed" || line?.word === "open" ? "" : standing } as const;
    const news = line === null ? bare : { ...withoutSecond(line), day: dayOf(line.started_wall_ms), ...bare };
    if (Object.entries(news).every(([name, value]) => Reflect.get(before, name) === value)) continue;
    if (archive.mode === "write") guarded(archive.path, () => keep(line));
    book.change(row, news);
    isChanged = true;
  }
  return isChanged;
}

const withoutSecond = ({ second: _second, differs: _differs, ...rest }: ReviewLine) => rest;
