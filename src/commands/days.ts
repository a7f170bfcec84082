import { usageError } from "../core/errors.ts";

const two = (n: number): string => String(n).padStart(2, "0");

/** The day on this machine's wall clock: `2026-03-01`; dashes for a stamp that is no time. */
export function dayOf(wall_ms: number): string {
  const date = new Date(wall_ms);
  if (Number.isNaN(date.getTime())) return "----------";
  return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
}

/** Day and minute on this machine's wall clock: `2026-03-01 08:05`; dashes for a stamp that is no time. */
export function wallTime(wall_ms: number | null): string {
  const date = new Date(wall_ms ?? Number.NaN);
  const minute = Number.isNaN(date.getTime()) ? "--:--" : `${two(date.getHours())}:${two(date.getMinutes())}`;
  return `${dayOf(date.getTime())} ${minute}`;
}

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
