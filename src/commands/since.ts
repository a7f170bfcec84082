import { agoFrom } from "../core/ago.ts";
import { usageError } from "../core/errors.ts";

/** A day or minute on this machine's clock (or with its own zone), or so many days or hours ago, as a wall time in ms; `since-unreadable` (64). */
export function sinceFrom(word: string, now_ms: number): number {
  const ago_ms = agoFrom(word);
  if (ago_ms !== null) return now_ms - ago_ms;
  const isDay = /^\d{4}-\d\d-\d\d$/.test(word);
  const isMoment = /^\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)?$/.test(word);
  // A date alone is read as UTC by JavaScript; a crew means its own midnight.
  const at_ms = isDay || isMoment ? new Date(isDay ? `${word}T00:00` : word.replace(" ", "T")).getTime() : Number.NaN;
  if (Number.isFinite(at_ms)) return at_ms;
  throw usageError(
    "since-unreadable",
    `${JSON.stringify(word.slice(0, 40))} is no time.`,
    "Write 2026-03-01, 2026-03-01T08:00, 7d or 12h.",
  );
}
