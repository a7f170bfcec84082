import { isStaunchError } from "../core/errors.ts";
import { type OpenedRecord, openedFrom } from "../core/review/opened.ts";
import { secondOpinionOf } from "../core/review/secondOpinion.ts";
import { readJournal } from "../storage/journal.ts";
import type { Archive } from "../storage/open.ts";
import { type FoundRecord, findRecord } from "../storage/records.ts";
import { type KeptCurve, keepCurve, keptCurve } from "../storage/reviewCurves.ts";
import { reviewsOf, sealOfRecord } from "../storage/reviews.ts";
import { signaturesOf } from "../storage/signatures.ts";
import { recordStanding } from "../storage/standings.ts";
import { curveOf } from "./reviewCurve.ts";

/** Curve and second opinion of a record, worked out from its journal now; kept where that may be. */
function workedOut(archive: Archive, record: FoundRecord, isAltered: boolean): KeptCurve {
  const curve = curveOf(record.start, readJournal(archive, record.number));
  const second = record.end === null ? null : secondOpinionOf(record.start, record.end.verdict, curve);
  const made = { curve, second };
  if (record.end !== null && !isAltered) keepIfPossible(archive, record, made);
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

/** `kept` null: curve and second opinion are worked out. */
function opened(archive: Archive, record: FoundRecord, kept: KeptCurve | null): OpenedRecord {
  const { number, start, end } = record;
  const { seal, sealed_wall_ms } = sealOfRecord(archive, start.id);
  const standing = recordStanding(archive, start.id);
  const altered = standing.standing === "altered" ? standing.what : null;
  const { curve, second } = kept ?? workedOut(archive, record, altered !== null);
  return openedFrom({
    number,
    start,
    end,
    raw: curve,
    second,
    reviews: reviewsOf(archive, start.id),
    signatures: signaturesOf(archive, start.id),
    seal,
    sealedAfter_s: sealed_wall_ms === null || end === null ? null : (sealed_wall_ms - end.ended_wall_ms) / 1000,
    altered,
  });
}

/**
 * A record by its id with all that is looked at, held against its seal; curve and second opinion as kept, else worked out. StaunchErrors as of
 * `findRecord`.
 */
export function openRecord(archive: Archive, id: string): OpenedRecord {
  const record = findRecord(archive, id);
  return opened(archive, record, keptCurve(archive, record.number));
}

/** The same from its journal, whatever is kept: no seal covers that. */
export function openAnew(archive: Archive, id: string): OpenedRecord {
  return opened(archive, findRecord(archive, id), null);
}

/** The same, if its curve is at hand; `null`: it would have to be worked out. */
export function openKept(archive: Archive, id: string): OpenedRecord | null {
  const record = findRecord(archive, id);
  const kept = keptCurve(archive, record.number);
  return kept === null ? null : opened(archive, record, kept);
}
