import { usageError } from "../core/errors.ts";

/** `--pace 60`: how many times faster than life a simulated gauge runs; `null` when nothing was said. A StaunchError `pace-unreadable` (64). */
export function paceFrom(word: string | undefined): number | null {
  if (word === undefined) return null;
  const pace = Number(word);
  if (pace > 0 && pace <= 100_000) return pace;
  throw usageError("pace-unreadable", `${JSON.stringify(word.slice(0, 40))} is no pace.`, "Write a number such as 60, up to 100000.");
}
