import { type Aligned, aligned, changeAt } from "../../core/review/align.ts";
import { type OpenedRecord, shownWord } from "../../core/review/opened.ts";
import { plainText } from "../../core/text.ts";
import { toUnit } from "../../core/units.ts";
import { duration, type PressureScale, significant } from "../figures.ts";
import { Canvas } from "../parts/canvas.ts";
import { clip, wrap } from "../parts/cells.ts";
import { drawCurve, drawFew, drawLevel, drawMoment, extentIn, type PlotWindow, roomy, xOf, yOf } from "../parts/curvePlot.ts";
import { type Line, type Look, lineWidth, plainLine, spread } from "../parts/line.ts";
import { sourceWord } from "../plain.ts";
import { labelled } from "./chartFrame.ts";
import { lossWords } from "./recordWords.ts";
import { recordChart, scaleFor } from "./reviewChart.ts";
import type { ReviewScreenState } from "./reviewState.ts";
import { markLetter } from "./reviewTable.ts";

interface Laid {
  record: OpenedRecord;
  letter: string;
  curve: Aligned;
}

/** Curves are told apart by their letters; colours only help. */
const COLOURS = ["cyan", "yellow", "green", "red"] as const;
const lookOf = (place: number): Look => ({ bold: true, colour: COLOURS[place % COLOURS.length] ?? "cyan" });

function laidOf(records: readonly OpenedRecord[]): Laid[] {
  const laid: Laid[] = [];
  for (const record of records) {
    const curve = record.end === null ? null : aligned(record.curve, record.start.limits, record.end.verdict.hold);
    if (curve !== null) laid.push({ record, letter: markLetter(laid.length), curve });
  }
  return laid;
}

function windowFor(laid: readonly Laid[]): PlotWindow | null {
  const hold_s = Math.max(...laid.map(({ curve }) => curve.hold_s));
  const [from_s, to_s] = [-0.05 * hold_s, 1.05 * hold_s];
  const seen = laid.flatMap(({ curve }) => {
    // The charge before and the vent after would flatten what is compared.
    const extent = extentIn(curve.time_s, curve.change_Pa, 0, curve.hold_s);
    return extent === null ? [] : [extent];
  });
  if (seen.length === 0 || !(hold_s > 0)) return null;
  const permitted_Pa = Math.max(...laid.map(({ record }) => record.start.limits.permittedDrop_Pa));
  const low = Math.min(-permitted_Pa, ...seen.map((one) => one.low));
  return { from_s, to_s, ...roomy({ low, high: Math.max(0, ...seen.map((one) => one.high)) }, permitted_Pa * 0.1) };
}

/** Along its hold each curve carries its letter, those of others between. */
function letters(canvas: Canvas, window: PlotWindow, { curve, letter }: Laid, place: number, of: number): void {
  const apart_s = (window.to_s - window.from_s) / 5;
  for (let at_s = (apart_s * (place + 1)) / (of + 1); at_s <= curve.hold_s; at_s += apart_s) {
    const value = changeAt(curve, at_s);
    if (value !== null && value >= window.low && value <= window.high)
      canvas.sign(xOf(canvas, window, at_s), yOf(canvas, window, value), letter, lookOf(place));
  }
}

function overlayChart(laid: readonly Laid[], scale: PressureScale, columns: number, rows: number): Line[] {
  const window = windowFor(laid);
  if (window === null || rows < 3) return [plainLine("no hold to draw", { dim: true })];
  const labels = 8;
  const canvas = new Canvas(columns - labels - 1, rows - 1);
  drawLevel(canvas, window, 0, 2);
  for (const permitted_Pa of new Set(laid.map(({ record }) => record.start.limits.permittedDrop_Pa)))
    drawLevel(canvas, window, -permitted_Pa);
  for (const hold_s of new Set([0, ...laid.map(({ curve }) => curve.hold_s)])) drawMoment(canvas, window, hold_s);
  for (const { curve } of laid) drawCurve(canvas, window, curve.time_s, curve.change_Pa);
  for (const [place, { curve }] of laid.entries()) drawFew(canvas, window, curve.time_s, curve.change_Pa, lookOf(place));
  for (const [place, one] of laid.entries()) letters(canvas, window, one, place, laid.length);
  const words = `${" ".repeat(labels)}└ start of the hold · ··· permitted drop · ${scale.unit}`;
  return [...labelled(canvas, window, scale, labels), spread(plainLine(words), plainLine(duration(window.to_s)), columns)];
}

const changeWords = (value_Pa: number | null, scale: PressureScale): string => {
  if (value_Pa === null) return "--";
  const value = toUnit(value_Pa, scale.unit);
  return `${value < 0 ? "−" : "+"}${significant(Math.abs(value), 3)}`;
};

/** Whose curve a letter is, and its change after a quarter, half and all of its hold. */
function legend({ record, letter, curve }: Laid, place: number, scale: PressureScale, columns: number): Line {
  const { start } = record;
  const source = sourceWord(start.source);
  const changes = [0.25, 0.5, 1].map((part) => changeWords(changeAt(curve, part * curve.hold_s), scale)).join(" ");
  const name = [
    plainText(start.section.id, 30),
    plainText(start.stage, 12),
    shownWord(record).toUpperCase(),
    ...(source === null ? [] : [source]),
  ];
  const id = columns < 100 ? "" : ` · ${plainText(start.id, 40)}`;
  const right = plainLine(` ${changes} ${scale.unit}${id}`);
  return spread([{ text: letter, look: lookOf(place) }, { text: ` ${name.join(" · ")} ` }], right, columns);
}

/** Marked records on one another, their holds begun together at no change. */
export function overlayRows(state: ReviewScreenState, room: number): Line[] {
  const laid = laidOf(state.laid);
  const [first] = laid;
  if (first === undefined) return [plainLine("None of the marked records has a hold.", { dim: true })];
  const scale = scaleFor(first.record);
  const below = [
    plainLine("change after a quarter, half and all of the hold:", { dim: true }),
    ...laid.map((one, place) => legend(one, place, scale, state.columns)),
  ];
  return [...overlayChart(laid, scale, state.columns, room - below.length), ...below];
}

/** A record and one whose noise is the same, side by side. */
export function alikeRows(state: ReviewScreenState, own: OpenedRecord | null, room: number): Line[] {
  const alike = state.alike ?? [];
  const pair = alike[state.alikeAt % Math.max(1, alike.length)];
  if (own === null || pair === undefined) return [plainLine("No look-alike.", { dim: true })];
  const above = wrap(plainText(pair.text, 400), state.columns).map((text) => plainLine(text, { bold: true }));
  const half = Math.floor((state.columns - 1) / 2);
  const count =
    alike.length > 1 ? [plainLine(`${(state.alikeAt % alike.length) + 1} of ${alike.length} · tab shows the next`, { dim: true })] : [];
  const rows = room - above.length - count.length;
  const [left, right] = [halfRows(own, half, rows), halfRows(pair.other, half, rows)];
  const both = Array.from({ length: Math.max(left.length, right.length) }, (_, y): Line => {
    const one = left[y] ?? [];
    return [...one, { text: " ".repeat(Math.max(0, half + 1 - lineWidth(one))) }, ...(right[y] ?? [])];
  });
  return [...above, ...both, ...count];
}

function halfRows(record: OpenedRecord, columns: number, rows: number): Line[] {
  const { start } = record;
  const told = (text: string): Line => plainLine(clip(text, columns));
  const head = [
    told(`${shownWord(record).toUpperCase()} · ${plainText(start.section.id, 40)} · ${plainText(start.stage, 12)}`),
    told(plainText(start.id, 40)),
    told(lossWords(record)),
  ];
  return [...head, ...recordChart(record, { columns, rows: rows - head.length, window: null, at_s: null })];
}
