import { deflateRawSync, inflateRawSync } from "node:zlib";
import type { Curve } from "../core/curve.ts";
import { JUDGE_VERSION, type Verdict } from "../core/record.ts";
import { curveBytes, curveFromBytes } from "../core/review/curveBytes.ts";
import { isOtherOpinion } from "../core/review/secondOpinion.ts";
import type { Archive } from "./open.ts";
import { verdictOf } from "./recordRows.ts";
import { keepsReviews } from "./reviewTables.ts";
import { guarded } from "./trouble.ts";

/** Raised when a curve would be kept otherwise. */
const CURVE_VERSION = 1;
/** What a kept curve may inflate to: a day at a hundred readings a second, all four columns. */
const LARGEST = 280_000_000;

/** A curve as it was read, and what the whole-curve judge makes of it; `second` `null`: it has no say. */
export interface KeptCurve {
  curve: Curve;
  second: Verdict | null;
}

interface Row {
  bytes: Uint8Array;
  second: string | null;
}

/** What is kept of a record by its number; `null`: nothing, or made by other rules, or torn: it is then to be made again. */
export function keptCurve(archive: Archive, record: number): KeptCurve | null {
  if (!keepsReviews(archive)) return null;
  // A reading archive has a table of this name in memory too, which stays empty.
  const sql = "select bytes, second from main.review_curves where record = ? and version = ? and judge = ?";
  const row = guarded(archive.path, () => archive.db.prepare<[number, number, number], Row>(sql).get(record, CURVE_VERSION, JUDGE_VERSION));
  if (row === undefined) return null;
  try {
    const curve = curveFromBytes(inflateRawSync(row.bytes, { maxOutputLength: LARGEST }));
    const second = verdictOf(row.second);
    return second === null && row.second !== null ? null : { curve, second };
  } catch (error) {
    // Made again from the journal, which is what counts.
    if (error instanceof RangeError || (error instanceof Error && "code" in error)) return null;
    throw error;
  }
}

/** Keeps a curve and second opinion, and puts the latter into the record's line; does nothing to an archive that may not be written. */
export function keepCurve(archive: Archive, record: number, verdict: Verdict, kept: KeptCurve): void {
  if (archive.mode !== "write") return;
  const { db, path } = archive;
  const { curve, second } = kept;
  const bytes = deflateRawSync(curveBytes(curve), { level: 6 });
  const keep = db.transaction(() => {
    db.prepare("insert or replace into review_curves (record, version, judge, second, bytes) values (?, ?, ?, ?, ?)").run(
      record,
      CURVE_VERSION,
      JUDGE_VERSION,
      second === null ? null : JSON.stringify(second),
      bytes,
    );
    const differs = second !== null && isOtherOpinion(verdict, second) ? 1 : 0;
    db.prepare("update review_lines set second = ?, differs = ? where record = ?").run(second?.verdict ?? "", differs, record);
  });
  guarded(path, () => keep.immediate());
}

/** Ended records without a kept curve, newest first, at most `limit`: what is still to be worked out. */
export function curvesToMake(archive: Archive, limit: number): number[] {
  if (archive.mode !== "write") return [];
  const sql = `select record from review_lines l where word <> 'open'
    and not exists (select 1 from review_curves c where c.record = l.record and c.version = ? and c.judge = ?) order by started_wall_ms desc limit ?`;
  return guarded(archive.path, () =>
    archive.db.prepare<[number, number, number], number>(sql).pluck().all(CURVE_VERSION, JUDGE_VERSION, limit),
  );
}
