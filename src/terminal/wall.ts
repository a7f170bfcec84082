const two = (n: number): string => String(n).padStart(2, "0");

/** Hour and minute on this machine's wall clock; dashes for a stamp that is no time. */
export function clockTime(wall_ms: number): string {
  const date = new Date(wall_ms);
  if (Number.isNaN(date.getTime())) return "--:--";
  return `${two(date.getHours())}:${two(date.getMinutes())}`;
}

/** The day on this machine's wall clock: `2026-03-01`; dashes for a stamp that is no time. */
export function dayOf(wall_ms: number): string {
  const date = new Date(wall_ms);
  if (Number.isNaN(date.getTime())) return "----------";
  return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
}

/** Day and minute on this machine's wall clock: `2026-03-01 08:05`; dashes for a stamp that is no time. */
export function wallTime(wall_ms: number | null): string {
  const date = new Date(wall_ms ?? Number.NaN);
  return `${dayOf(date.getTime())} ${clockTime(date.getTime())}`;
}
