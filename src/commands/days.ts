import { usageError } from "../core/errors.ts";

/** A wall time for programs, by ISO 8601 in UTC; `null` for a stamp that is no time. */
export function isoTime(wall_ms: number | null): string | null {
  const date = new Date(wall_ms ?? Number.NaN);
  return Number.isNaN(date.getTime()) ? null : date.toISOString();
}

/** A day of the calendar, `2026-03-01`. A StaunchError `day-unreadable` (64) names the option. */
export function dayFrom(option: string, word: string): string {
  const parts = /^(\d{4})-(\d\d)-(\d\d)$/.exec(word.trim());
  const [year, month, day] = (parts?.slice(1) ?? []).map(Number);
  if (year !== undefined && month !== undefined && day !== undefined && year >= 1990 && year < 2100) {
    const date = new Date(Date.UTC(year, month - 1, day));
    if (date.getUTCMonth() === month - 1 && date.getUTCDate() === day) return word.trim();
  }
  throw usageError(
    "day-unreadable",
    `${option}: ${JSON.stringify(word.slice(0, 40))} is no day of the calendar.`,
    "Write year, month and day: 2026-03-01.",
  );
}
