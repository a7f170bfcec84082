import { type SummaryLine, summarise } from "../../core/review/summary.ts";
import { plainText } from "../../core/text.ts";
import { significant } from "../figures.ts";
import { Canvas } from "../parts/canvas.ts";
import { cellWidth, clip } from "../parts/cells.ts";
import { drawCurve, drawLevel, extentIn, roomy, xOf, yOf } from "../parts/curvePlot.ts";
import { type Line, lineWidth, plainLine } from "../parts/line.ts";
import { pageOf } from "./reviewRecord.ts";
import type { GaugeZeros, ReviewScreenState } from "./reviewState.ts";

const COLUMNS: readonly (readonly [title: string, of: (line: SummaryLine) => string])[] = [
  ["tests", (line) => String(line.tests)],
  ["pass", (line) => String(line.pass)],
  ["fail", (line) => String(line.fail)],
  ["void", (line) => String(line.void + line.inconclusive)],
  ["open", (line) => String(line.open)],
  ["2nd≠", (line) => String(line.differs)],
  ["unrev.", (line) => String(line.unreviewed)],
  ["back", (line) => String(line.returned)],
  ["no gauge", (line) => String(line.notProving)],
  ["mean drop", (line) => (line.meanDrop === null ? "--" : `${Math.round(line.meanDrop * 100)} %`)],
];

const widths = (lines: readonly SummaryLine[]): number[] =>
  COLUMNS.map(([title, of]) => Math.max(title.length, ...lines.map((line) => of(line).length)));

/** Counts of all that fits the search, by tester, gauge, method or week. */
export function summaryRows(state: ReviewScreenState, room: number): Line[] {
  const lines = summarise(state.book, state.hits, state.group);
  const cells = widths(lines);
  const name = Math.max(8, state.columns - cells.reduce((sum, width) => sum + width + 1, 0));
  const row = (first: string, figures: readonly string[]): string => {
    const kept = clip(first, name);
    return `${kept}${" ".repeat(name - cellWidth(kept))}${figures.map((figure, i) => ` ${figure.padStart(cells[i] ?? 0)}`).join("")}`;
  };
  const head = plainLine(
    row(
      `by ${state.group}`,
      COLUMNS.map(([title]) => title),
    ),
    { bold: true },
  );
  const body = lines.map((line) =>
    plainLine(
      row(
        plainText(line.name, 60) || "not named",
        COLUMNS.map(([, of]) => of(line)),
      ),
    ),
  );
  return [head, ...pageOf(body, room - 1, state.turned)];
}

function driftWords({ drift }: GaugeZeros): string {
  if (drift === null) return "no zero kept";
  const parts = [`zero ${significant(drift.latest_Pa, 3)} Pa`];
  if (drift.perMonth_Pa !== null) parts.push(`${significant(drift.perMonth_Pa, 2)} Pa in 30 days`);
  if (drift.inTest_Pa !== null) parts.push(`at most ${significant(drift.inTest_Pa, 2)} Pa in one test`);
  return [...parts, `${drift.zeros} zeros`].join(" · ");
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
    const head: Line = [{ text: plainText(one.gauge, 30), look: { bold: true } }, { text: ` · ${driftWords(one)}` }];
    return [
      lineWidth(head) > state.columns ? plainLine(clip(`${plainText(one.gauge, 30)} · ${driftWords(one)}`, state.columns)) : head,
      ...zeroChart(one, state.columns),
    ];
  });
  return pageOf(lines, room, state.turned);
}
