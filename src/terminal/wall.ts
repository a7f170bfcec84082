/** Hour and minute on this machine's wall clock; dashes for a stamp that is no time. */
export function clockTime(wall_ms: number): string {
  const date = new Date(wall_ms);
  if (Number.isNaN(date.getTime())) return "--:--";
  return `${String(date.getHours()).padStart(2, "0")}:${String(date.getMinutes()).padStart(2, "0")}`;
}
