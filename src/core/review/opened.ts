import type { Curve } from "../curve.ts";
import { cleanCurve } from "../judging/clean.ts";
import type { RecordEnd, RecordStart, Verdict } from "../record.ts";
import { plainText } from "../text.ts";
import type { Review, Signature } from "./row.ts";
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
  /** Second signatures under its seal, in the order they were sealed. */
  signatures: readonly Signature[];
  /** Hexadecimal, or `unsealed`. */
  seal: string;
  /** How much later than its end it was sealed, s; `null`: unsealed, or not looked at. */
  sealedAfter_s: number | null;
  /** What of it is not what was sealed, in words; `null`: nothing, as far as its own seal shows. */
  altered: string | null;
}

/** Puts a record together; `raw` as it was read. */
export function openedFrom(parts: Omit<OpenedRecord, "curve" | "spikes" | "differs"> & { raw: Curve }): OpenedRecord {
  const { raw, ...rest } = parts;
  const { curve, notes } = cleanCurve(raw, parts.start.gauge.resolution_Pa);
  const differs = parts.end !== null && parts.second !== null && isOtherOpinion(parts.end.verdict, parts.second);
  return { ...rest, curve, spikes: notes.spikes, differs };
}

/** Sealed as it ended is within this; a test that broke off is sealed when the next one starts. */
const AT_ONCE_S = 60;

/** What its seal says of a record, where that is not all one hopes for; `null`: sealed as it ended, and as it was sealed. */
export function sealWords({
  altered,
  seal,
  sealedAfter_s,
  end,
}: Pick<OpenedRecord, "altered" | "seal" | "sealedAfter_s" | "end">): string | null {
  if (altered !== null) return `ALTERED: ${plainText(altered, 300)}. What stands here is not what was sealed.`;
  if (end === null) return null;
  if (seal === "unsealed") return "UNSEALED: nothing shows that it is what the gauge said.";
  if (sealedAfter_s === null || sealedAfter_s <= AT_ONCE_S) return null;
  return `sealed ${spanWords(sealedAfter_s)} after its end: what was done to it in between no seal shows`;
}

const spanWords = (span_s: number): string => {
  if (span_s < 7200) return `${Math.round(span_s / 60)} min`;
  return span_s < 172_800 ? `${Math.round(span_s / 3600)} h` : `${Math.round(span_s / 86_400)} days`;
};

/** The word a record is shown by: never its verdict when it was altered. */
export const shownWord = ({ altered, end }: Pick<OpenedRecord, "altered" | "end">): string =>
  altered !== null ? "altered" : (end?.verdict.verdict ?? "no end");

/** Of a record with its second opinion, in words; `null` when the two agree. */
export function secondWords({ second, differs }: Pick<OpenedRecord, "second" | "differs">): string | null {
  if (second === null || !differs) return null;
  const why = second.reasons.map((reason) => plainText(reason.code, 40).replaceAll("-", " ")).join(", ");
  return `second opinion: ${second.verdict.toUpperCase()}${why === "" ? "" : `, ${why}`}`;
}
