import { displayUnit } from "../../core/methods/displayUnit.ts";
import { signOf } from "../../core/methods/limits.ts";
import type { OpenedRecord } from "../../core/review/opened.ts";
import { figure, type PressureScale, pressureScale } from "../figures.ts";
import { Canvas } from "../parts/canvas.ts";
import { drawCurve, drawFew, drawLevel, drawMoment, extentIn, type PlotWindow, roomy, xOf, yOf } from "../parts/curvePlot.ts";
import { type Line, plainLine } from "../parts/line.ts";
import { axis, labelled, limitWords } from "./chartFrame.ts";

/** Where a chart stands and what of the record it shows. */
export interface ChartPlace {
  columns: number;
  rows: number;
  /** `null`: the whole curve. */
  window: { from_s: number; to_s: number } | null;
  /** Where figures are read off; `null`: nowhere. */
  at_s: number | null;
}

/** The unit and the decimals of the record's own method. */
export function scaleFor({ start }: OpenedRecord): PressureScale {
  const { limits } = start;
  return pressureScale(
    displayUnit(limits),
    limits.permittedDrop_Pa,
    Math.sign(limits.test_Pa) * Math.max(Math.abs(limits.top_Pa), Math.abs(limits.charge_Pa)),
  );
}

/** The pressure the hold must not pass; `null`: none was made, or it is water, whose limit is in litres. */
function limitLine({ start, end }: OpenedRecord): number | null {
  const { limits } = start;
  if (limits.water !== undefined) return null;
  if (limits.floor_Pa !== null) return limits.floor_Pa;
  const from_Pa = end?.verdict.hold.start_Pa ?? null;
  return from_Pa === null ? null : from_Pa - signOf(limits) * limits.permittedDrop_Pa;
}

function windowFor(record: OpenedRecord, place: ChartPlace): PlotWindow | null {
  const { time_s, pressure_Pa } = record.curve;
  if (time_s.length < 2) return null;
  const { from_s, to_s } = place.window ?? { from_s: time_s[0] ?? 0, to_s: time_s.at(-1) ?? 0 };
  const seen = extentIn(time_s, pressure_Pa, ...heldPart(record, from_s, to_s));
  if (seen === null || !(to_s > from_s)) return null;
  const limit = limitLine(record);
  const hold = record.end?.verdict.hold;
  const isNear = limit !== null && hold?.from_s != null && hold.to_s !== null && hold.to_s >= from_s && hold.from_s <= to_s;
  const shown = isNear ? { low: Math.min(seen.low, limit), high: Math.max(seen.high, limit) } : seen;
  return { from_s, to_s, ...roomy(shown, Math.max(1, record.start.limits.permittedDrop_Pa * 0.1)) };
}

/** What sets the height: of a hold looked at closely the hold alone, or the vent after it would flatten it. */
function heldPart(record: OpenedRecord, from_s: number, to_s: number): [from_s: number, to_s: number] {
  const { from_s: begin_s = null, to_s: end_s = null } = record.end?.verdict.hold ?? {};
  if (begin_s === null || end_s === null) return [from_s, to_s];
  const margin = Math.max(5, (end_s - begin_s) * 0.15);
  const [from, to] = [Math.max(from_s, begin_s), Math.min(to_s, end_s)];
  return from_s >= begin_s - margin && to_s <= end_s + margin && to > from ? [from, to] : [from_s, to_s];
}

/** Pump strokes stand apart by their nature; a ring is for what was left out of a pressure that stood. */
export const ringed = ({ spikes, end }: OpenedRecord): OpenedRecord["spikes"] => {
  const pumped = (end?.verdict.phases ?? []).filter(({ phase }) => phase === "charge" || phase === "trim");
  return spikes.filter(({ at_s }) => !pumped.some(({ from_s, to_s }) => at_s >= from_s && at_s <= to_s));
};

/** Readings that were left out are ringed, the estimates the verdict rests on are crosses, the moment that is read off is a stroke. */
function marks(canvas: Canvas, window: PlotWindow, record: OpenedRecord, at_s: number | null): void {
  const { hold } = record.end?.verdict ?? {};
  const isIn = (s: number): boolean => s >= window.from_s && s <= window.to_s;
  if (at_s !== null && isIn(at_s))
    for (let y = 0; y < canvas.height; y += 4) canvas.sign(xOf(canvas, window, at_s), y, "│", { colour: "cyan" });
  for (const [s, value_Pa] of [
    [hold?.from_s ?? null, hold?.start_Pa ?? null],
    [hold?.to_s ?? null, hold?.end_Pa ?? null],
  ] as const)
    if (s !== null && value_Pa !== null && isIn(s)) canvas.sign(xOf(canvas, window, s), yOf(canvas, window, value_Pa), "×", { bold: true });
  for (const spike of ringed(record))
    if (isIn(spike.at_s)) {
      // One that lies above or below the picture is ringed at its edge.
      const y = Math.max(0, Math.min(canvas.height - 1, yOf(canvas, window, spike.pressure_Pa)));
      canvas.sign(xOf(canvas, window, spike.at_s), y, "○", { bold: true, colour: "yellow" });
    }
}

/** The curve of a record in so many rows: the last is the time axis, the one above it the phases where there is room. */
export function recordChart(record: OpenedRecord, place: ChartPlace): Line[] {
  const { columns, rows } = place;
  const window = windowFor(record, place);
  if (rows < 3 || columns < 16) return [];
  if (window === null) return [plainLine("no curve to draw", { dim: true })];
  const scale = scaleFor(record);
  const labels = Math.max(figure(scale, window.high).trim().length, figure(scale, window.low).trim().length);
  const hasPhases = rows >= 6;
  const canvas = new Canvas(columns - labels - 1, rows - (hasPhases ? 2 : 1));
  const { hold, phases } = record.end?.verdict ?? {};
  for (const s of [hold?.from_s, hold?.to_s]) if (s != null) drawMoment(canvas, window, s);
  const limit = limitLine(record);
  if (limit !== null) drawLevel(canvas, window, limit);
  drawCurve(canvas, window, record.curve.time_s, record.curve.pressure_Pa);
  drawFew(canvas, window, record.curve.time_s, record.curve.pressure_Pa);
  marks(canvas, window, record, place.at_s);
  return [
    ...labelled(canvas, window, scale, labels),
    ...axis(window, columns, labels, hasPhases ? (phases ?? []) : null, limitWords(limit, scale)),
  ];
}
