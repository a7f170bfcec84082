import type { Verdict } from "./record.ts";

/** Processors round otherwise in the last digits; so many must agree. */
const DIGITS = 6;
/** Two figures that close are one, also when a rounding edge lies between them. */
const CLOSE = 1e-9;
/** The program's name and version may differ: that is what a replay on another machine is for. The judge's version is told apart. */
const FREE = new Set(["program", "judge_version"]);
const MOST = 5;

/** How one verdict stands to another. `same` is `null` when they part: as "hold.drop_Pa 12.1 became 12.3" each, five at most. */
export interface Comparison {
  same: "to the last digit" | "to six digits" | null;
  parted: string[];
}

/** `before` as recorded, `after` as it comes out now. */
export function compareVerdicts(before: Verdict, after: Verdict): Comparison {
  const parted = differences(before, after);
  if (parted.length > 0) return { same: null, parted };
  return { same: walked(before, after, Object.is).length === 0 ? "to the last digit" : "to six digits", parted };
}

/** Where two verdicts part in what is judged, figures to six digits; sentences may be put better without judging otherwise. */
export const differences = (before: Verdict, after: Verdict): string[] => walked(before, after, isJudgedAlike).slice(0, MOST);

/** Whether a part of two verdicts is the same in that sense. */
export const isSamePart = (before: unknown, after: unknown): boolean =>
  walked({ part: before ?? null }, { part: after ?? null }, isJudgedAlike).length === 0;

function isJudgedAlike(before: unknown, after: unknown, key: string): boolean {
  if (key === "text" || Object.is(before, after)) return true;
  if (typeof before !== "number" || typeof after !== "number") return false;
  if (before.toPrecision(DIGITS) === after.toPrecision(DIGITS)) return true;
  return Math.abs(before - after) <= CLOSE * Math.max(Math.abs(before), Math.abs(after));
}

type Same = (before: unknown, after: unknown, key: string) => boolean;

/** Both as JSON keeps them, leaf by leaf. */
function walked(before: object, after: object, same: Same): string[] {
  const found: string[] = [];
  walk(JSON.parse(JSON.stringify(before)), JSON.parse(JSON.stringify(after)), ["", ""], same, found);
  return found;
}

function walk(before: unknown, after: unknown, [path, key]: readonly [string, string], same: Same, found: string[]): void {
  if (FREE.has(path)) return;
  if (isTree(before) && isTree(after)) {
    for (const name of new Set([...Object.keys(before), ...Object.keys(after)])) {
      walk(before[name], after[name], [path === "" ? name : `${path}.${name}`, name], same, found);
    }
    return;
  }
  if (!same(before, after, key)) found.push(`${path} ${JSON.stringify(before)} became ${JSON.stringify(after)}`);
}

const isTree = (value: unknown): value is Record<string, unknown> => typeof value === "object" && value !== null;
