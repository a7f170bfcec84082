import type { Database } from "better-sqlite3";
import type { RecordStart, Verdict } from "../core/record.ts";
import { ReviewBook } from "../core/review/book.ts";
import { type ReviewRow, stateOf } from "../core/review/row.ts";
import { isOtherOpinion } from "../core/review/secondOpinion.ts";
import type { Archive } from "./open.ts";
import { startOf, verdictOf } from "./recordRows.ts";
import { reviewsOf } from "./reviews.ts";
import { readyForReview } from "./reviewTables.ts";
import { knowsSeals } from "./sealedJournal.ts";
import { guarded } from "./trouble.ts";

/** Raised when a line would be made otherwise; older ones are then made again. */
const LINE_VERSION = 1;

interface Sources {
  number: number;
  id: string;
  started_wall_ms: number;
  section: string;
  stage: string;
  method: string;
  source: string;
  start: string;
  verdict: string | null;
  second: string | null;
}

/** Makes the lines that are missing or out of date. Cheap when none is. */
export function refreshLines(archive: Archive): void {
  readyForReview(archive);
  const { db, path } = archive;
  guarded(path, () => {
    const due = dueLines(db);
    const entries = newReviews(archive);
    if (due.length === 0 && entries.last === null) return;
    const step = db.transaction(() => {
      const write = lineWriter(archive);
      for (const number of due) write(number);
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

const SOURCES = `select r.number, r.id, r.started_wall_ms, r.section, r.stage, r.method, r.source, r.start, e.verdict, c.second
  from records r left join ends e on e.record = r.number left join review_curves c on c.record = r.number where r.number = ?`;

const INSERT = `insert or replace into review_lines
  (record, version, id, started_wall_ms, section, stage, method, gauge, tester, source, word, codes, drop_part, second, differs, state)
  values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`;

function lineWriter(archive: Archive): (number: number) => void {
  const sources = archive.db.prepare<[number], Sources>(SOURCES);
  const insert = archive.db.prepare(INSERT);
  return (number) => {
    const found = sources.get(number);
    if (found === undefined) return;
    const { id, started_wall_ms, section, stage, method, source } = found;
    // A start that cannot be read leaves the columns beside it: the record still has its line.
    const start = startOf(found.start, id);
    const verdict = verdictOf(found.verdict);
    const second = verdictOf(found.second);
    const gauge = start === null ? "" : gaugeName(start);
    const word = verdict?.verdict ?? "open";
    const codes = verdict === null ? "" : [...verdict.reasons, ...verdict.remarks].map((finding) => finding.code).join(" ");
    const differs = verdict !== null && second !== null && isOtherOpinion(verdict, second) ? 1 : 0;
    const told = [id, started_wall_ms, section, stage, method, gauge, start?.tester ?? "", source, word, codes];
    insert.run(number, LINE_VERSION, ...told, dropPart(verdict), second?.verdict ?? "", differs, stateOf(reviewsOf(archive, id)));
  };
}

const gaugeName = ({ gauge }: RecordStart): string => gauge.name ?? gauge.protocol;

/** Water is measured by its litres. */
function dropPart(verdict: Verdict | null): number | null {
  if (verdict === null) return null;
  const { hold, water } = verdict;
  const [lost, permitted] = water === undefined ? [hold.drop_Pa, hold.permitted_Pa] : [water.added_L, water.permitted_L];
  return lost === null || !(permitted > 0) ? null : lost / permitted;
}

type Raw = [number, string, number, string, string, string, string, string, string, string, string, number | null, string, number, string];

/** All lines, up to date, as one book. `dayOf` writes a wall time as a day on this machine's clock. */
export function reviewBook(archive: Archive, dayOf: (wall_ms: number) => string): ReviewBook {
  refreshLines(archive);
  const sql = `select record, id, started_wall_ms, section, stage, method, gauge, tester, source, word, codes, drop_part, second, differs, state
    from review_lines`;
  const rows = guarded(archive.path, () => archive.db.prepare<[], Raw>(sql).raw().all());
  return new ReviewBook(rowsOf(rows, dayOf), rows.length);
}

function* rowsOf(rows: readonly Raw[], dayOf: (wall_ms: number) => string): Generator<ReviewRow> {
  const days = new Map<number, string>();
  for (const [
    number,
    id,
    started_wall_ms,
    section,
    stage,
    method,
    gauge,
    tester,
    source,
    word,
    codes,
    drop,
    second,
    differs,
    state,
  ] of rows) {
    // Quarters of an hour never lie across a midnight, in any zone; asking the calendar for each record would take longer than all the rest.
    const quarter = Math.floor(started_wall_ms / 900_000);
    const day = days.get(quarter) ?? dayOf(started_wall_ms);
    days.set(quarter, day);
    const words = { source, word, second, state } as Pick<ReviewRow, "source" | "word" | "second" | "state">;
    yield { number, id, started_wall_ms, day, section, stage, method, gauge, tester, codes, drop, differs: differs === 1, ...words };
  }
}
