import type { Curve } from "../core/curve.ts";
import type { JournalEvent } from "../core/journal.ts";
import { cleanCurve } from "../core/judging/clean.ts";
import { type LookAlike, lookAlike } from "../core/judging/lookAlike.ts";
import type { Finding, RecordStart, RemarkCode, Verdict } from "../core/record.ts";
import { readJournal } from "../storage/journal.ts";
import type { Archive } from "../storage/open.ts";
import { type FoundRecord, findRecord, listRecords, type RecordFilter, type RecordLine } from "../storage/records.ts";
import { keptCurve } from "../storage/reviewCurves.ts";
import { curveOf } from "./reviewCurve.ts";

/** Compared with so many records of the same section, then of the same day; of either the nearest in time. Each takes some 20 ms. */
const COMPARED = { section: 20, all: 40 };

/** The readings of a journal alone, fit to be compared. */
export const readingsOf = (start: RecordStart, journal: readonly JournalEvent[]): Curve =>
  cleanCurve(curveOf(start, journal), start.gauge.resolution_Pa).curve;

/** The same of a record, sooner where its curve is kept. */
function readingsOfRecord(archive: Archive, { number, start }: FoundRecord): Curve {
  const kept = keptCurve(archive, number);
  return kept === null ? readingsOf(start, readJournal(archive, number)) : cleanCurve(kept.curve, start.gauge.resolution_Pa).curve;
}

/** The calendar day on this machine's clock: its first moment and that of the next. */
function dayAround(wall_ms: number): { since_wall_ms: number; until_wall_ms: number } {
  const date = new Date(wall_ms);
  const midnight = (days: number): number => new Date(date.getFullYear(), date.getMonth(), date.getDate() + days).getTime();
  return { since_wall_ms: midnight(0), until_wall_ms: midnight(1) };
}

/** Ended records that could be the original or a copy of this one, however many are newer. */
function neighboursOf(archive: Archive, { id, section, started_wall_ms }: RecordStart): RecordLine[] {
  const nearest = (filter: RecordFilter): RecordLine[] =>
    listRecords(archive, filter)
      .filter((line) => line.id !== id && line.ended_wall_ms !== null)
      .sort((a, b) => Math.abs(a.started_wall_ms - started_wall_ms) - Math.abs(b.started_wall_ms - started_wall_ms));
  const ofSection = nearest({ section: section.id }).slice(0, COMPARED.section);
  const ofDay = nearest(dayAround(started_wall_ms)).filter((line) => line.section !== section.id);
  return [...ofSection, ...ofDay].slice(0, COMPARED.all);
}

/**
 * What the archive says against a finished record: its noise has been seen before. Worked out each time it is asked for, never stored: a verdict
 * is a fold of its own journal and of nothing else.
 */
export function alikeOf(archive: Archive, id: string): (Finding<RemarkCode> & { id: string })[] {
  const own = findRecord(archive, id);
  if (own.start.limits.water !== undefined) return [];
  const others = neighboursOf(archive, own.start);
  if (others.length === 0) return [];
  const curve = readingsOfRecord(archive, own);
  return others.flatMap((line) => {
    const found = lookAlike(curve, readingsOfRecord(archive, findRecord(archive, line.id)));
    return found === null ? [] : [{ ...told(line.id, found), id: line.id }];
  });
}

function told(id: string, { kind, correlation, equal_part, readings }: LookAlike): Finding<RemarkCode> {
  const text =
    kind === "identical"
      ? `The curve is the one of record ${id}, reading for reading: the same noise cannot happen twice.`
      : `The noise of this curve is that of record ${id} (correlation ${correlation.toFixed(2)} over ${readings} readings): it cannot happen twice.`;
  return { code: "too-good", text, figures: { correlation, equal_part, readings } };
}

/** The verdict as it is shown: with what the archive says against its curve. A damaged neighbour keeps nobody from a verdict. */
export function withLookAlikes(archive: Archive, verdict: Verdict): Verdict {
  if (verdict.record === null) return verdict;
  try {
    const found = alikeOf(archive, verdict.record).map(({ id: _id, ...finding }) => finding);
    return found.length === 0 ? verdict : { ...verdict, remarks: [...verdict.remarks, ...found] };
  } catch {
    return verdict;
  }
}
