import { usageError } from "../../errors.ts";
import { canonicalUnit, parsePressure, type UnitName } from "../../units.ts";

/** What a person tells of a water test; it stands in the journal as a key's action. */
export type WaterEntry = { kind: "added" | "taken"; litres: number } | { kind: "head"; head_Pa: number };

/** No measure holds more, and no pipe worth testing takes more at once; beyond it a figure is a slip of the keyboard. */
export const MOST_LITRES = 1000;
/** Heads above it are no test of a gravity pipe. */
const MOST_HEAD_Pa = 200_000;

const FIGURE = /^\+?(\d+\.?\d*|\.\d+)$/;
const LITRES = /^(?:(added|taken)\s+)?([+-−]?[\d.]+)\s*(?:l|litres?|liters?)?$/i;

/** What a bare figure means just now, and the unit heads are spoken in. */
export interface Expecting {
  figure: "litres" | "head";
  unit: UnitName;
}

const HINT = "Write the litres put in, such as 0.35; taken 0.1 for water let out; head 32 kPa for the level.";

/**
 * A line people type → an action for the journal: "0.35", "+0.35", "taken 0.1", "head 32 kPa", and a bare figure as a head where one
 * is asked for. StaunchErrors (64): `entry-unreadable`, `litres-negative`, `litres-absurd`, `head-absurd`.
 */
export function actionFrom(line: string, expecting: Expecting): string {
  const text = line.trim();
  const quoted = JSON.stringify(text.slice(0, 40));
  const head = /^head\s+(.+)$/i.exec(text)?.[1];
  if (head !== undefined) return headAction(FIGURE.test(head) ? `${head} ${expecting.unit}` : head, quoted);
  const parts = LITRES.exec(text);
  if (parts === null) return headOr(text, quoted);
  const [, word, amount = ""] = parts;
  if (word === undefined && expecting.figure === "head" && FIGURE.test(text) && !text.startsWith("+"))
    return headAction(`${text} ${expecting.unit}`, quoted);
  if (/^[-−]/.test(amount))
    throw usageError("litres-negative", `${quoted}: litres are written without a minus.`, "Water let out is written: taken 0.1");
  if (!FIGURE.test(amount)) throw usageError("entry-unreadable", `${quoted} is no volume.`, HINT);
  const litres = Number(amount.replace("+", ""));
  if (litres > MOST_LITRES)
    throw usageError("litres-absurd", `${quoted}: more than ${MOST_LITRES} L at once is a slip of the keyboard.`, HINT);
  return `${word?.toLowerCase() ?? "added"} ${litres}`;
}

/** A figure with a unit of pressure is a head. */
function headOr(text: string, quoted: string): string {
  const unit = /^[\d.]+\s*(\D+)$/.exec(text)?.[1];
  if (unit !== undefined && canonicalUnit(unit) !== undefined) return headAction(text, quoted);
  throw usageError(
    "entry-unreadable",
    `${quoted} is nothing a water test asks for.`,
    text.includes(",") ? `${HINT} The decimal sign is a point.` : HINT,
  );
}

function headAction(text: string, quoted: string): string {
  const head_Pa = parsePressure(text);
  if (head_Pa >= 0 && head_Pa <= MOST_HEAD_Pa) return `head ${head_Pa}`;
  throw usageError("head-absurd", `${quoted}: no gravity pipe is tested at that head.`, "Write it as the gauge shows it: head 32 kPa");
}

const ACTION = /^(added|taken|head) (\d+\.?\d*(?:e-?\d+)?)$/;

/** A journal's action read back; `null` when it is not of this kind or no figure a person could have meant. */
export function entryOf(action: string): WaterEntry | null {
  const parts = ACTION.exec(action);
  const value = Number(parts?.[2] ?? Number.NaN);
  if (parts?.[1] === "head") return value <= MOST_HEAD_Pa ? { kind: "head", head_Pa: value } : null;
  if (!(value <= MOST_LITRES)) return null;
  return { kind: parts?.[1] === "taken" ? "taken" : "added", litres: value };
}
