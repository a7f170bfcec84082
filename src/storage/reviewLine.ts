import type { RecordStart, Verdict } from "../core/record.ts";
import { type ReviewRow, stateOf } from "../core/review/row.ts";
import { isOtherOpinion } from "../core/review/secondOpinion.ts";
import type { Archive } from "./open.ts";
import { startOf, verdictOf } from "./recordRows.ts";
import { reviewsOf } from "./reviews.ts";

/** What a list needs of one record, without what is asked of the seals and the calendar. */
export type ReviewLine = Omit<ReviewRow, "day" | "standing">;

interface Sources {
  number: number;
  id: string;
  started_wall_ms: number;
  section: string;
  stage: string;
  method: string;
  source: ReviewRow["source"];
  start: string;
  verdict: string | null;
  second: string | null;
}

const SOURCES = `select r.number, r.id, r.started_wall_ms, r.section, r.stage, r.method, r.source, r.start, e.verdict, c.second
  from records r left join ends e on e.record = r.number left join review_curves c on c.record = r.number where r.number = ?`;

/** Makes the line of a record by its number from record, end and reviews; `null` when there is no such record. */
export function lineReader(archive: Archive): (number: number) => ReviewLine | null {
  const ask = archive.db.prepare<[number], Sources>(SOURCES);
  return (number) => {
    const found = ask.get(number);
    return found === undefined ? null : lineOf(archive, found);
  };
}

function lineOf(archive: Archive, found: Sources): ReviewLine {
  const { number, id, started_wall_ms, section, stage, method, source } = found;
  // A start that cannot be read leaves the columns beside it: the record still has its line.
  const start = startOf(found.start, id);
  const verdict = verdictOf(found.verdict);
  const second = verdictOf(found.second);
  return {
    ...{ number, id, started_wall_ms, section, stage, method, source },
    gauge: start === null ? "" : gaugeName(start),
    tester: start?.tester ?? "",
    word: verdict?.verdict ?? "open",
    codes: verdict === null ? "" : [...verdict.reasons, ...verdict.remarks].map((finding) => finding.code).join(" "),
    second: second?.verdict ?? "",
    differs: verdict !== null && second !== null && isOtherOpinion(verdict, second),
    state: stateOf(reviewsOf(archive, id)),
    drop: dropPart(verdict),
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
