import type { OpenedRecord } from "../../core/review/opened.ts";
import type { Review, Signature } from "../../core/review/row.ts";
import { COUNTS_NOT, saidBy } from "../../core/review/sayings.ts";
import { plainText } from "../../core/text.ts";
import { litres, pressure } from "../figures.ts";
import { wallTime } from "../wall.ts";
import { scaleFor } from "./reviewChart.ts";

const whenWords = ({ wall_ms, intact }: Pick<Review, "wall_ms" | "intact">): string =>
  `${wallTime(wall_ms)} ${intact ? "" : `${COUNTS_NOT}: `}`;

/** When a supervisor said what, in one line. */
export const reviewWords = (review: Review): string => `${whenWords(review)}${saidBy(review)}`;

/** Who else signed, when, and with which key: two of its eight groups of digits. */
export const signatureWords = (signature: Signature): string =>
  `${whenWords(signature)}second signature: ${plainText(signature.by, 80)}, key ${plainText(signature.key.slice(0, 9))}`;

/** The drop, or the litres, against what is permitted. */
export function lossWords(record: OpenedRecord): string {
  const { verdict } = record.end ?? {};
  if (record.altered !== null) return "no figures: they are not what was sealed";
  if (verdict === undefined) return "no verdict yet";
  const scale = scaleFor(record);
  if (verdict.water !== undefined) return `${litres(verdict.water.added_L)} of ${litres(verdict.water.permitted_L)}`;
  const { drop_Pa, permitted_Pa } = verdict.hold;
  if (drop_Pa === null) return `no drop measured; permitted ${pressure(scale, permitted_Pa)}`;
  return `drop ${pressure(scale, drop_Pa)} of ${pressure(scale, permitted_Pa)} (${Math.round((drop_Pa / permitted_Pa) * 100)} %)`;
}
