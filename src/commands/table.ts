/** Cells in columns as wide as the widest of each; `right`: columns of figures. */
export function table(rows: readonly (readonly string[])[], right: ReadonlySet<number> = new Set()): string[] {
  const widths = (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => Array.from(row[column] ?? "").length)));
  return rows.map((row) =>
    row
      .map((cell, column) => (right.has(column) ? cell.padStart(widths[column] ?? 0) : cell.padEnd(widths[column] ?? 0)))
      .join("  ")
      .trimEnd(),
  );
}
