import { type SummaryLine, summarise } from "../../core/review/summary.ts";
import { plainText } from "../../core/text.ts";
import { significant } from "../figures.ts";
import { Canvas } from "../parts/canvas.ts";
import { cellWidth, clip, wrap } from "../parts/cells.ts";
import { drawCurve, drawLevel, extentIn, roomy, xOf, yOf } from "../parts/curvePlot.ts";
import { type Line, lineWidth, plainLine } from "../parts/line.ts";
import { countedText, driftWords, SUMMARY_COLUMNS, type SummaryColumn, UNSEALED_ZEROS } from "../summaryWords.ts";
import { pageOf } from "./reviewRecord.ts";
import type { GaugeZeros, ReviewScreenState } from "./reviewState.ts";

/** A name is told by so many cells at least. */
const LEAST_NAME = 14;

interface Shown {
  column: SummaryColumn;
  cells: string[];
  width: number;
}

/** The columns there is room for; those that hold nothing but noughts are the first to go, then by their rank. */
function shownColumns(lines: readonly SummaryLine[], columns: number): Shown[] {
  let shown = SUMMARY_COLUMNS.map((column): Shown => {
    const cells = lines.map((line) => column.of(line));
    return { column, cells, width: Math.max(column.short.length, ...cells.map((cell) => cell.length)) };
  });
  const isTooWide = (): boolean => shown.reduce((sum, { width }) => sum + width + 1, LEAST_NAME) > columns;
  const weight = ({ column: { rank, isLoud }, cells }: Shown): number => {
    const isEmpty = cells.every((cell) => cell === "0" || cell === "--");
    return rank === 0 || (isLoud === true && !isEmpty) ? 0 : rank + (isEmpty ? 10 : 0);
  };
  while (isTooWide()) {
    const most = Math.max(...shown.map(weight));
    if (most === 0) break;
    shown = shown.filter((one) => weight(one) < most);
  }
  return shown;
}

/** Counts of all that fits the search, by tester, gauge, method or week. */
export function summaryRows(state: ReviewScreenState, room: number): Line[] {
  const { lines, proving } = summarise(state.book, state.hits, state.group);
  const shown = shownColumns(lines, state.columns);
  const name = Math.max(8, state.columns - shown.reduce((sum, { width }) => sum + width + 1, 0));
  const row = (first: string, cell: (one: Shown) => string): string => {
    const kept = clip(first, name);
    return `${kept}${" ".repeat(name - cellWidth(kept))}${shown.map((one) => ` ${cell(one).padStart(one.width)}`).join("")}`;
  };
  const head = plainLine(
    row(`by ${state.group}`, ({ column }) => column.short),
    { bold: true },
  );
  const body = lines.map((line, at) => plainLine(row(plainText(line.name, 60) || "not named", ({ cells }) => cells[at] ?? "")));
  const told = wrap(countedText(proving), state.columns).map((text) => plainLine(text, proving ? { dim: true } : { bold: true }));
  return [head, ...pageOf(body, room - 1 - told.length, state.turned), ...told];
}

const HEIGHT = 3;

/** All zeros of a gauge along their days, no change as a dotted level. */
function zeroChart({ zeros }: GaugeZeros, columns: number): Line[] {
  const sorted = [...zeros].sort((a, b) => a.wall_ms - b.wall_ms);
  const time_s = Float64Array.from(sorted, ({ wall_ms }) => wall_ms / 1000);
  const values = Float64Array.from(sorted, ({ zero_Pa }) => zero_Pa);
  const [from_s, to_s] = [time_s[0] ?? 0, time_s.at(-1) ?? 0];
  const seen = extentIn(time_s, values, from_s, to_s);
  if (seen === null || !(to_s > from_s)) return [];
  const canvas = new Canvas(columns - 10, HEIGHT);
  const window = { from_s, to_s, ...roomy({ low: Math.min(0, seen.low), high: Math.max(0, seen.high) }, 2) };
  drawLevel(canvas, window, 0);
  drawCurve(canvas, window, time_s, values);
  // A few zeros far apart would be lost as single dots.
  if (sorted.length <= canvas.columns)
    for (const [i, value] of values.entries()) canvas.sign(xOf(canvas, window, time_s[i] ?? 0), yOf(canvas, window, value), "×");
  const labels = [`${significant(window.high, 2)} Pa`, "", `${significant(window.low, 2)} Pa`];
  return canvas.lines().map((line, y): Line => [{ text: `${(labels[y] ?? "").padStart(9)}│`, look: { dim: true } }, ...line]);
}

/** How the zero of every gauge on file has moved. */
export function zeroRows(state: ReviewScreenState, room: number): Line[] {
  if (state.zeros.length === 0) return [plainLine("No gauge is on file in this archive: staunch gauges add --help", { dim: true })];
  const lines = state.zeros.flatMap((one) => {
    const words = driftWords(one.drift);
    const head: Line = [{ text: plainText(one.gauge, 30), look: { bold: true } }, { text: ` · ${words}` }];
    return [
      lineWidth(head) > state.columns ? plainLine(clip(`${plainText(one.gauge, 30)} · ${words}`, state.columns)) : head,
      ...zeroChart(one, state.columns),
    ];
  });
  const told = wrap(UNSEALED_ZEROS, state.columns).map((text) => plainLine(text, { dim: true }));
  return [...pageOf(lines, room - told.length, state.turned), ...told];
}
