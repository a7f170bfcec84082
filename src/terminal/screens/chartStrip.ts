import type { OpenedRecord } from "../../core/review/opened.ts";
import { Canvas } from "../parts/canvas.ts";
import { drawCurve, extentIn, roomy } from "../parts/curvePlot.ts";
import type { Line } from "../parts/line.ts";
import type { ChartPlace } from "./reviewChart.ts";

/** A second quantity along the same time, in few rows, with its range; nothing when it was not measured. */
export function stripRows(
  name: string,
  record: OpenedRecord,
  values: Float64Array | null,
  write: (value: number) => string,
  place: ChartPlace,
): Line[] {
  const { time_s } = record.curve;
  const { from_s, to_s } = place.window ?? { from_s: time_s[0] ?? 0, to_s: time_s.at(-1) ?? 0 };
  const seen = values === null ? null : extentIn(time_s, values, from_s, to_s);
  if (values === null || seen === null || place.rows < 1 || !(to_s > from_s)) return [];
  const label = `${name} ${write(seen.low)} to ${write(seen.high)} `;
  const canvas = new Canvas(place.columns - label.length, place.rows);
  drawCurve(canvas, { from_s, to_s, ...roomy(seen, (seen.high - seen.low) * 0.05) }, time_s, values);
  return canvas.lines().map((line, y): Line => [{ text: y === 0 ? label : " ".repeat(label.length), look: { dim: true } }, ...line]);
}
