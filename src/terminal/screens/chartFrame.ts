import type { PhaseSpan } from "../../core/record.ts";
import { duration, figure, type PressureScale } from "../figures.ts";
import type { Canvas } from "../parts/canvas.ts";
import type { PlotWindow } from "../parts/curvePlot.ts";
import { type Line, plainLine, spread } from "../parts/line.ts";

/** What stands round a curve: its scale, its phases, its times. */

/** The canvas with the highest and the lowest pressure beside it. */
export function labelled(canvas: Canvas, window: PlotWindow, scale: PressureScale, labels: number): Line[] {
  const lines = canvas.lines();
  return lines.map((line, y): Line => {
    const label = y === 0 ? figure(scale, window.high).trim() : y === lines.length - 1 ? figure(scale, window.low).trim() : "";
    return [{ text: `${label.padStart(labels)}│`, look: { dim: true } }, ...line];
  });
}

/** What the dotted level is, in the unit of the scale. */
export function limitWords(limit: number | null, scale: PressureScale): string {
  return limit === null ? scale.unit : `··· limit ${figure(scale, limit).trim()} ${scale.unit}`;
}

/** Times under the curve and, where there is room, the phases above them. */
export function axis(window: PlotWindow, columns: number, labels: number, phases: readonly PhaseSpan[] | null, words: string): Line[] {
  const from = `${" ".repeat(labels)}└${duration(window.from_s)}`;
  const times = spread(plainLine(`${from} ${words}`), plainLine(duration(window.to_s, "up")), columns);
  return phases === null
    ? [times]
    : [plainLine(`${" ".repeat(labels)}│${phaseNames(phases, window, columns - labels - 1)}`, { dim: true }), times];
}

/** Phases as a row of names under the curve, each from where it began. */
function phaseNames(phases: readonly PhaseSpan[], window: { from_s: number; to_s: number }, columns: number): string {
  const cells: string[] = new Array(columns).fill(" ");
  const place = (s: number): number => Math.floor(((s - window.from_s) / (window.to_s - window.from_s)) * columns);
  for (const { phase, from_s, to_s } of phases) {
    const [from, to] = [Math.max(0, place(from_s)), Math.min(columns, place(to_s))];
    if (to <= from) continue;
    for (let x = from; x < to; x++) cells[x] = "─";
    cells[from] = "├";
    const name = phase.slice(0, Math.max(0, to - from - 1));
    for (const [i, letter] of [...name].entries()) cells[from + 1 + i] = letter;
  }
  return cells.join("");
}
