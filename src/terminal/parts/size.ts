/** A terminal that says nothing, or 0, about its size is taken for the classic one. */
export const sizeOf = (columns: number | undefined, rows: number | undefined): { columns: number; rows: number } => ({
  columns: columns || 80,
  rows: rows || 24,
});
