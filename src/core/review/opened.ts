import type { Curve } from "../curve.ts";
import { cleanCurve } from "../judging/clean.ts";
import type { RecordEnd, RecordStart, Verdict } from "../record.ts";
import { plainText } from "../text.ts";
import type { Review } from "./row.ts";
import { isOtherOpinion } from "./secondOpinion.ts";

/** All that is looked at of one record. */
export interface OpenedRecord {
  /** Number inside the archive. */
  number: number;
  start: RecordStart;
  end: RecordEnd | null;
  /** In time order, without the spikes. */
  curve: Curve;
  /** Readings that stood apart and were left out: drawn ringed, never hidden. */
  spikes: readonly { at_s: number; pressure_Pa: number }[];
  /** `null`: the whole-curve judge has no say, or there is no verdict yet. */
  second: Verdict | null;
  differs: boolean;
  reviews: readonly Review[];
  /** Hexadecimal, or `unsealed`. */
  seal: string;
}

/** Puts a record together; `raw` as it was read. */
export function openedFrom(parts: Omit<OpenedRecord, "curve" | "spikes" | "differs"> & { raw: Curve }): OpenedRecord {
  const { raw, ...rest } = parts;
  const { curve, notes } = cleanCurve(raw, parts.start.gauge.resolution_Pa);
  const differs = parts.end !== null && parts.second !== null && isOtherOpinion(parts.end.verdict, parts.second);
  return { ...rest, curve, spikes: notes.spikes, differs };
}

/** Of a record with its second opinion, in words; `null` when the two agree. */
export function secondWords({ second, differs }: Pick<OpenedRecord, "second" | "differs">): string | null {
  if (second === null || !differs) return null;
  const why = second.reasons.map((reason) => plainText(reason.code, 40).replaceAll("-", " ")).join(", ");
  return `second opinion: ${second.verdict.toUpperCase()}${why === "" ? "" : `, ${why}`}`;
}
