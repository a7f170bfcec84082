import type { Verdict } from "../core/record.ts";

/** Where two verdicts part, as "hold.drop_Pa 12.1 became 12.3"; empty when they are the same to the last digit. */
export function differences(before: Verdict, after: Verdict): string[] {
  const found: string[] = [];
  walk(JSON.parse(JSON.stringify(before)), JSON.parse(JSON.stringify(after)), "", found);
  return found.slice(0, 5);
}

/** The program's name and version may differ: that is what a replay on another machine is for. */
const FREE = new Set(["program"]);

function walk(before: unknown, after: unknown, path: string, found: string[]): void {
  if (Object.is(before, after) || FREE.has(path)) return;
  if (isTree(before) && isTree(after)) {
    for (const key of new Set([...Object.keys(before), ...Object.keys(after)])) {
      walk(before[key], after[key], path === "" ? key : `${path}.${key}`, found);
    }
    return;
  }
  found.push(`${path} ${JSON.stringify(before)} became ${JSON.stringify(after)}`);
}

const isTree = (value: unknown): value is Record<string, unknown> => typeof value === "object" && value !== null;
