import { displayUnit } from "../methods/displayUnit.ts";
import { type Limits, signOf } from "../methods/limits.ts";
import type { GaugeFacts } from "../record.ts";
import { toUnit } from "../units.ts";

/** One thing a gauge must be for a method; `fit` is `null` where the file does not tell. */
export interface FitPoint {
  code: "range" | "resolution" | "accuracy" | "calibration";
  fit: boolean | null;
  text: string;
  figures: Record<string, number | null>;
}

export type FitFacts = Pick<
  GaugeFacts,
  "reference" | "resolution_Pa" | "accuracy_fraction" | "accuracy_Pa" | "range_Pa" | "calibrated" | "due"
>;

/** The lowest and highest barometer a site at up to some 500 m sees; for the range of an absolute sensor. Common practice, no source. */
const AMBIENT_Pa = { low: 93_000, high: 105_000 };

/**
 * Is this gauge fit for these limits? EN 1610 wants the drop measured to a tenth of what is permitted: neither a step of the gauge nor the
 * expanded uncertainty (k = 2) its error alone makes may be more. `today` (`2026-03-01`) `null`: a due date is not looked at.
 */
export function fitnessOf(facts: FitFacts, limits: Limits, today: string | null): FitPoint[] {
  return [range(facts, limits), resolution(facts, limits), accuracy(facts, limits), calibration(facts, today)];
}

export const isFit = (points: readonly FitPoint[]): boolean => points.every(({ fit }) => fit === true);

type Say = (value_Pa: number) => string;

const sayIn =
  (limits: Limits): Say =>
  (value_Pa) => {
    const unit = displayUnit(limits);
    return `${Number(toUnit(value_Pa, unit).toPrecision(3))} ${unit}`;
  };

function range({ range_Pa, reference }: FitFacts, limits: Limits): FitPoint {
  const say = sayIn(limits);
  const top_Pa = signOf(limits) * Math.abs(limits.top_Pa);
  if (range_Pa === undefined) return { code: "range", fit: null, text: "its range is not on file", figures: { top_Pa } };
  const [low_Pa, high_Pa] = range_Pa;
  const shift = reference === "absolute" ? AMBIENT_Pa : { low: 0, high: 0 };
  const fit = low_Pa <= Math.min(0, top_Pa) + shift.low && high_Pa >= Math.max(0, top_Pa) + shift.high;
  const absolute = reference === "absolute" ? " above the barometer" : "";
  const text = `range ${say(low_Pa)} to ${say(high_Pa)} ${fit ? "covers" : "does not cover"} 0 to the top pressure ${say(top_Pa)}${absolute}`;
  return { code: "range", fit, text, figures: { low_Pa, high_Pa, top_Pa } };
}

const tenthOf = ({ permittedDrop_Pa }: Limits): number => 0.1 * permittedDrop_Pa;
const tenthWords = (limits: Limits): string =>
  `a tenth of the permitted ${limits.water === undefined ? "drop" : "band"} (${sayIn(limits)(tenthOf(limits))})`;

function resolution({ resolution_Pa }: FitFacts, limits: Limits): FitPoint {
  const tenth_Pa = tenthOf(limits);
  const figures = { resolution_Pa, tenth_Pa };
  if (resolution_Pa === null) return { code: "resolution", fit: null, text: "its resolution is not on file", figures };
  const fit = resolution_Pa <= tenth_Pa;
  const text = `steps of ${sayIn(limits)(resolution_Pa)} are ${fit ? "no coarser" : "coarser"} than ${tenthWords(limits)}`;
  return { code: "resolution", fit, text, figures };
}

/** An error given as a part of the reading counts on the drop, one in pascal on the difference of two readings (rectangular, k = 2). */
function accuracy({ accuracy_fraction, accuracy_Pa }: FitFacts, limits: Limits): FitPoint {
  const tenth_Pa = tenthOf(limits);
  if (accuracy_fraction === null && accuracy_Pa === null)
    return { code: "accuracy", fit: null, text: "its accuracy is not on file", figures: { tenth_Pa } };
  const error_Pa = (2 / Math.sqrt(3)) * Math.hypot((accuracy_fraction ?? 0) * limits.permittedDrop_Pa, accuracy_Pa ?? 0);
  const fit = error_Pa <= tenth_Pa;
  const text = `its error leaves the drop known to ± ${sayIn(limits)(error_Pa)}, ${fit ? "within" : "more than"} ${tenthWords(limits)}`;
  return { code: "accuracy", fit, text, figures: { U_drop_Pa: error_Pa, tenth_Pa } };
}

function calibration({ calibrated, due }: FitFacts, today: string | null): FitPoint {
  const point = (fit: boolean | null, text: string): FitPoint => ({ code: "calibration", fit, text, figures: {} });
  if (calibrated === undefined) return point(null, "no calibration is on file");
  if (due === undefined) return point(null, `calibrated ${calibrated}, but no due date is on file`);
  if (today !== null && calibrated > today) return point(false, `calibrated ${calibrated}, which is still to come`);
  if (today !== null && due < today) return point(false, `calibration of ${calibrated} was due again on ${due}`);
  return point(true, `calibrated ${calibrated}, due ${due}`);
}
