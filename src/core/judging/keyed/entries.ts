import { type StaunchError, usageError } from "../../errors.ts";
import { type Limits, signOf } from "../../methods/limits.ts";
import { canonicalUnit, toUnit, unitFactor_Pa } from "../../units.ts";

/** What a person types in a test of air without a digital gauge; it stands in the journal as a key's action. */
export type KeyedEntry =
  /** `size_Pa` is positive for a vacuum too; `looks`: scales read for it, one or both legs. */
  { kind: "reading"; size_Pa: number; looks: 1 | 2; starts: boolean } | { kind: "pumped" | "bled" };

const FIGURE = String.raw`([+-]?(?:\d+\.?\d*|\.\d+))`;
const LINE = new RegExp(String.raw`^(start\s+)?(?:l\s*)?${FIGURE}(?:\s*mm(?![a-z]))?(?:[\s/;]+(?:r\s*)?${FIGURE})?\s*([^\d\s].*)?$`, "i");

const HINT = "Type what the tube shows in mm: 98, or both legs: 49 49. Another unit is written behind it: 10 mbar.";

/** Further out than so many times the most the pipe may bear, a figure is a slip of the keyboard. */
const ABSURD_TIMES = 4;

/**
 * A line → an action for the journal: `98` and `10 mbar` → `read 961.05`, both legs `49 49` → `legs …`; `start 98` begins the clock uncalled;
 * `pumped` and `bled` say what was done. Two figures without a sign are both legs, measured from the middle, and are added; with a sign they are
 * places on one scale, and their difference counts. StaunchErrors (64): `entry-unreadable`, `reading-negative`, `reading-absurd`.
 */
export function keyedActionFrom(line: string, limits: Pick<Limits, "direction" | "top_Pa" | "charge_Pa">): string {
  const text = line.trim().replaceAll("−", "-").toLowerCase();
  const quoted = JSON.stringify(line.trim().slice(0, 40));
  if (/^(pumped|topped up|topped)$/.test(text)) return "pumped";
  if (text === "bled") return text;
  if (/^skip( vent)?$/.test(text)) return "skip-vent";
  const parts = LINE.exec(text);
  const [, starts, first = "", second, unit = "mm"] = parts ?? [];
  const factor_Pa = unitFactor_Pa(unit);
  if (parts === null || factor_Pa === undefined) throw unreadable(text, quoted);
  const looks = second === undefined ? [Number(first)] : legs(first, second);
  const sum_Pa = factor_Pa * looks.reduce((sum, value) => sum + value, 0);
  const size_Pa = second === undefined ? sizeOf(sum_Pa, limits) : Math.abs(sum_Pa);
  refuseAbsurd(size_Pa, limits, quoted);
  return `${starts === undefined ? "" : "start-"}${second === undefined ? "read" : "legs"} ${Number(size_Pa.toPrecision(12))}`;
}

/** Two heights that add up to the difference of the legs. */
const legs = (first: string, second: string): number[] => {
  const signed = /^[+-]/.test(first) || /^[+-]/.test(second);
  return [Number(first), signed ? -Number(second) : Number(second)];
};

/** A vacuum is typed with or without its minus. Near nothing a tube may stand a little on the other side. */
const sizeOf = (pressure_Pa: number, limits: Pick<Limits, "direction">): number =>
  signOf(limits) === -1 && pressure_Pa < 0 ? -pressure_Pa : pressure_Pa;

function refuseAbsurd(size_Pa: number, { top_Pa, charge_Pa }: Pick<Limits, "top_Pa" | "charge_Pa">, quoted: string): void {
  if (size_Pa < -0.05 * Math.abs(charge_Pa))
    throw usageError(
      "reading-negative",
      `${quoted} is on the other side of the air outside.`,
      "Type the difference of the legs without a minus.",
    );
  const most_Pa = ABSURD_TIMES * Math.max(Math.abs(top_Pa), Math.abs(charge_Pa));
  if (size_Pa <= most_Pa) return;
  const most_mm = Math.round(toUnit(Math.abs(top_Pa), "mmH2O"));
  throw usageError("reading-absurd", `${quoted} is far beyond the ${most_mm} mm this pipe may ever bear.`, HINT);
}

function unreadable(text: string, quoted: string): StaunchError {
  const unit = /^[\d.\s+-]+([a-z].*)$/.exec(text)?.[1];
  if (unit !== undefined && canonicalUnit(unit) === undefined)
    return usageError("entry-unreadable", `${quoted}: ${JSON.stringify(unit.slice(0, 20))} is no unit of pressure.`, HINT);
  const comma = /\d,\d/.test(text) ? " The decimal sign is a point." : "";
  return usageError("entry-unreadable", `${quoted} is no reading.`, `${HINT}${comma} Other words: pumped, bled, stop.`);
}

const ACTION = /^(start-)?(read|legs) (-?\d+\.?\d*(?:e-?\d+)?)$/;

/** A journal's action read back; `null` when it is of another kind. */
export function keyedEntryOf(action: string): KeyedEntry | null {
  if (action === "pumped" || action === "bled") return { kind: action };
  const parts = ACTION.exec(action);
  const size_Pa = Number(parts?.[3] ?? Number.NaN);
  if (parts === null || !Number.isFinite(size_Pa)) return null;
  return { kind: "reading", size_Pa, looks: parts[2] === "legs" ? 2 : 1, starts: parts[1] !== undefined };
}
