/** Week of a day by ISO 8601: `2026-W09`; the day itself when it is none. A week belongs to the year of its Thursday. */
export function weekOf(day: string): string {
  const at_ms = /^\d{4}-\d\d-\d\d$/.test(day) ? Date.parse(`${day}T00:00:00Z`) : Number.NaN;
  if (Number.isNaN(at_ms)) return day;
  const weekday = (new Date(at_ms).getUTCDay() + 6) % 7;
  const thursday = new Date(at_ms + (3 - weekday) * 86_400_000);
  const year = thursday.getUTCFullYear();
  const week = Math.floor((thursday.getTime() - Date.UTC(year, 0, 1)) / (7 * 86_400_000)) + 1;
  return `${year}-W${String(week).padStart(2, "0")}`;
}
