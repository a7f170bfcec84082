import type { Canvas } from "./canvas.ts";
import type { Look } from "./line.ts";

/** What part of time and value a canvas shows. */
export interface PlotWindow {
  from_s: number;
  to_s: number;
  low: number;
  high: number;
}

export const xOf = (canvas: Canvas, { from_s, to_s }: PlotWindow, at_s: number): number =>
  Math.min(canvas.width - 1, Math.floor(((at_s - from_s) / (to_s - from_s)) * canvas.width));

export const yOf = (canvas: Canvas, { low, high }: PlotWindow, value: number): number =>
  Math.round(((high - value) / (high - low)) * (canvas.height - 1));

/** First index whose time is at least `at_s`; times must not fall. */
export function indexAt(time_s: Float64Array, at_s: number): number {
  let low = 0;
  let high = time_s.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((time_s[middle] ?? 0) < at_s) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Lowest and highest value in a stretch of time; `null`: nothing was measured there. */
export function extentIn(time_s: Float64Array, values: Float64Array, from_s: number, to_s: number): { low: number; high: number } | null {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let i = indexAt(time_s, from_s); i < time_s.length && (time_s[i] ?? 0) <= to_s; i++) {
    const value = values[i] ?? Number.NaN;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return low > high ? null : { low, high };
}

/** Longer pauses than this many dots are gaps and stay open. */
const JOINED_DOTS = 3;

/**
 * A curve as dots: each dot column shows everything between the lowest and the highest reading in it and is joined to the one before, so that a
 * peak one reading wide is seen at any zoom. Every reading in the window is looked at.
 */
export function drawCurve(canvas: Canvas, window: PlotWindow, time_s: Float64Array, values: Float64Array): void {
  if (!(window.to_s > window.from_s) || !(window.high > window.low) || canvas.width === 0) return;
  let before: { x: number; top: number; bottom: number } | null = null;
  const put = (x: number, low: number, high: number): void => {
    let [top, bottom] = [yOf(canvas, window, high), yOf(canvas, window, low)];
    const own = { x, top, bottom };
    if (before !== null && x - before.x <= JOINED_DOTS) {
      if (before.top > bottom + 1) bottom = before.top - 1;
      if (before.bottom < top - 1) top = before.bottom + 1;
    }
    for (let y = Math.max(0, top); y <= Math.min(bottom, canvas.height - 1); y++) canvas.dot(x, y);
    before = own;
  };
  let column = -1;
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let i = indexAt(time_s, window.from_s); i < time_s.length && (time_s[i] ?? 0) <= window.to_s; i++) {
    const value = values[i] ?? Number.NaN;
    if (Number.isNaN(value)) continue;
    const x = xOf(canvas, window, time_s[i] ?? 0);
    if (x !== column && column >= 0) {
      put(column, low, high);
      [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    }
    column = x;
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  if (column >= 0) put(column, low, high);
}

/**
 * Readings that stand alone are signs, for a single dot is hardly told from a level: those that nothing joins to another, and all of them where
 * there are fewer than one for every two columns.
 */
export function drawFew(canvas: Canvas, window: PlotWindow, time_s: Float64Array, values: Float64Array, look?: Look): void {
  if (!(window.to_s > window.from_s) || !(window.high > window.low)) return;
  const first = indexAt(time_s, window.from_s);
  const areFew = (indexAt(time_s, window.to_s) - first) * 2 < canvas.columns;
  for (let i = first; i < time_s.length && (time_s[i] ?? 0) <= window.to_s; i++) {
    const value = values[i] ?? Number.NaN;
    const x = xOf(canvas, window, time_s[i] ?? 0);
    const isApart = (other_s: number | undefined): boolean =>
      other_s === undefined || Math.abs(xOf(canvas, window, other_s) - x) > JOINED_DOTS;
    if (!Number.isNaN(value) && (areFew || (isApart(time_s[i - 1]) && isApart(time_s[i + 1]))))
      canvas.sign(x, yOf(canvas, window, value), "●", look);
  }
}

/** A level across the whole width: every fourth dot, told from a curve by its shape. */
export function drawLevel(canvas: Canvas, window: PlotWindow, value: number, every = 4): void {
  if (value < window.low || value > window.high) return;
  const y = yOf(canvas, window, value);
  for (let x = 0; x < canvas.width; x += every) canvas.dot(x, y);
}

/** A moment from top to bottom: every third dot. */
export function drawMoment(canvas: Canvas, window: PlotWindow, at_s: number): void {
  if (at_s < window.from_s || at_s > window.to_s) return;
  const x = xOf(canvas, window, at_s);
  for (let y = 0; y < canvas.height; y += 3) canvas.dot(x, y);
}

/** Room above and below, and a least height so that noise is not drawn as mountains. */
export function roomy({ low, high }: { low: number; high: number }, least: number): { low: number; high: number } {
  const missing = Math.max(0, least - (high - low));
  const margin = (high - low + missing) * 0.05 + missing / 2 || 1;
  return { low: low - margin, high: high + margin };
}
