import { isStaunchError } from "../core/errors.ts";
import { type OpenedRecord, openedFrom } from "../core/review/opened.ts";
import { secondOpinionOf } from "../core/review/secondOpinion.ts";
import { readJournal } from "../storage/journal.ts";
import type { Archive } from "../storage/open.ts";
import { type FoundRecord, findRecord } from "../storage/records.ts";
import { type KeptCurve, keepCurve, keptCurve } from "../storage/reviewCurves.ts";
import { reviewsOf, sealOfRecord } from "../storage/reviews.ts";
import { curveOf } from "./reviewCurve.ts";

/** Curve and second opinion of a record: as kept, else worked out from its journal now and kept where that may be. */
function curveAndSecond(archive: Archive, record: FoundRecord): KeptCurve {
  const kept = keptCurve(archive, record.number);
  if (kept !== null) return kept;
  const curve = curveOf(record.start, readJournal(archive, record.number));
  const second = record.end === null ? null : secondOpinionOf(record.start, record.end.verdict, curve);
  const made = { curve, second };
  if (record.end !== null) keepIfPossible(archive, record, made);
  return made;
}

/** What cannot be kept now is worked out again the next time. */
function keepIfPossible(archive: Archive, { number, end }: FoundRecord, made: KeptCurve): void {
  try {
    if (end !== null) keepCurve(archive, number, end.verdict, made);
  } catch (error) {
    if (!isStaunchError(error)) throw error;
  }
}

function opened(archive: Archive, record: FoundRecord, { curve, second }: KeptCurve): OpenedRecord {
  const { number, start, end } = record;
  return openedFrom({
    number,
    start,
    end,
    raw: curve,
    second,
    reviews: reviewsOf(archive, start.id),
    seal: sealOfRecord(archive, start.id),
  });
}

/** A record by its id with all that is looked at. StaunchErrors as of `findRecord`. */
export function openRecord(archive: Archive, id: string): OpenedRecord {
  const record = findRecord(archive, id);
  return opened(archive, record, curveAndSecond(archive, record));
}

/** The same, if its curve is at hand; `null`: it would have to be worked out. */
export function openKept(archive: Archive, id: string): OpenedRecord | null {
  const record = findRecord(archive, id);
  const kept = keptCurve(archive, record.number);
  return kept === null ? null : opened(archive, record, kept);
}
