import { GAP_EDGES_ms } from "../../core/live/gaps.ts";
import { type Line, plainLine } from "./line.ts";

const EIGHTHS = [" ", "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"] as const;

/** `<5ms`, `<1s`, and `5s+` for the class without an upper edge. */
const name = (edge_ms: number): string => (edge_ms < 1000 ? `${edge_ms}` : `${edge_ms / 1000}s`);

const LABELS = [...GAP_EDGES_ms.map((edge) => `<${name(edge)}`), `${name(GAP_EDGES_ms.at(-1) ?? 0)}+`];

/** What stands in column `row` (0 at the foot) of a bar so many eighths of a row high. */
function block(eighths: number, row: number): string {
  const here = Math.max(0, Math.min(8, eighths - 8 * row));
  return EIGHTHS[here] ?? " ";
}

/**
 * Arrival gaps as upright bars over their classes in milliseconds, `high` rows of bars and one of labels. Heights go with the share of
 * all gaps; a class with even one gap in a million shows a line, for it is the rare long gap that is looked for.
 */
export function gapRows(counts: readonly number[], head: string, columns: number, high: number): Line[] {
  const all = counts.reduce((sum, count) => sum + count, 0);
  const most = Math.max(1, ...counts);
  const wide = Math.max(1, Math.floor((columns - head.length) / LABELS.length));
  const eighths = counts.map((count) => (count === 0 ? 0 : Math.max(1, Math.round((count / most) * high * 8))));
  const bars = Array.from({ length: high }, (_, y) => {
    const row = high - 1 - y;
    const cells = eighths.map((size) => block(size, row).repeat(Math.min(3, wide)).padEnd(wide));
    return plainLine(`${(y === 0 ? head : "").padEnd(head.length)}${cells.join("")}`);
  });
  const labels = LABELS.map((label) => label.slice(0, wide).padEnd(wide))
    .join("")
    .trimEnd();
  return [...bars, plainLine(`${(all === 0 ? "none" : "ms").padEnd(head.length)}${labels}`, { dim: true })];
}
