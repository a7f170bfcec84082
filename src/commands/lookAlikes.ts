import type { Curve } from "../core/curve.ts";
import type { JournalEvent } from "../core/journal.ts";
import { cleanCurve } from "../core/judging/clean.ts";
import { Columns } from "../core/judging/columns.ts";
import { heldZeroFor } from "../core/judging/heldZero.ts";
import { type LookAlike, lookAlike } from "../core/judging/lookAlike.ts";
import type { Finding, RecordStart, RemarkCode, Verdict } from "../core/record.ts";
import { driverEvent } from "../session/fold.ts";
import { readJournal } from "../storage/journal.ts";
import type { Archive } from "../storage/open.ts";
import { findRecord, listRecords } from "../storage/records.ts";
import { driverOf } from "./gauge.ts";

/** Compared with so many of the newest records of the same section or day. */
const NEWEST = 20;

/** The readings of a journal alone, without a judge. */
export function readingsOf(start: RecordStart, journal: readonly JournalEvent[]): Curve {
  const driver = driverOf(start.gauge);
  const columns = new Columns();
  const zero = heldZeroFor(start.gauge.reference);
  let state = driver.start();
  for (const event of journal) {
    const told = driverEvent(event);
    if (told === null) continue;
    const step = driver.next(state, told);
    state = step.state;
    for (const reading of step.readings) {
      const { at_ms, pressure_Pa } = zero?.taken(reading) ?? reading;
      if (pressure_Pa !== null) columns.push(at_ms / 1000, pressure_Pa, null, null);
    }
  }
  return cleanCurve(columns.curve(), start.gauge.resolution_Pa).curve;
}

const sameDay = (one_ms: number, other_ms: number): boolean => new Date(one_ms).toDateString() === new Date(other_ms).toDateString();

/**
 * What the archive says against a finished record: its noise has been seen before. Worked out each time it is asked for, never stored: a verdict
 * is a fold of its own journal and of nothing else.
 */
function lookAlikesOf(archive: Archive, id: string): Finding<RemarkCode>[] {
  const own = findRecord(archive, id);
  if (own.start.limits.water !== undefined) return [];
  const others = listRecords(archive, { limit: 500 })
    .filter((r) => r.id !== id && r.ended_wall_ms !== null)
    .filter((r) => r.section === own.start.section.id || sameDay(r.started_wall_ms, own.start.started_wall_ms))
    .slice(0, NEWEST);
  if (others.length === 0) return [];
  const curve = readingsOf(own.start, readJournal(archive, own.number));
  return others.flatMap((line) => {
    const other = findRecord(archive, line.id);
    const found = lookAlike(curve, readingsOf(other.start, readJournal(archive, other.number)));
    return found === null ? [] : [told(line.id, found)];
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
    const found = lookAlikesOf(archive, verdict.record);
    return found.length === 0 ? verdict : { ...verdict, remarks: [...verdict.remarks, ...found] };
  } catch {
    return verdict;
  }
}
