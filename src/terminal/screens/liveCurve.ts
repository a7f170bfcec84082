import { at } from "../../core/curve.ts";
import { type PressureScale, pressure } from "../figures.ts";
import { braille } from "../parts/chart.ts";
import { type Line, plainLine } from "../parts/line.ts";
import { addPoints, EMPTY_TRACE, extent } from "../parts/trace.ts";

const WINDOW_S = 60;
/** A curve lower than this shows nothing. */
const FEWEST_ROWS = 5;
/** Noise of a still gauge must not be drawn as mountains. */
const LEAST_SPAN_Pa = 20;

/** The last minute of pressure as a curve with its highest and lowest figure; nothing where there is no room for one. */
export function curveRows(
  recent: { time_s: ArrayLike<number>; pressure_Pa: ArrayLike<number> },
  scale: PressureScale,
  columns: number,
  room: number,
): Line[] {
  const n = recent.time_s.length;
  if (room < FEWEST_ROWS || n < 2) return [];
  const to_s = at(recent.time_s, n - 1);
  const points = Array.from({ length: n }, (_, i) => ({ at_s: at(recent.time_s, i), pressure_Pa: at(recent.pressure_Pa, i) }));
  const trace = addPoints(EMPTY_TRACE, points);
  const found = extent(trace, to_s - WINDOW_S, to_s);
  if (found === null) return [];
  const more = Math.max(0, LEAST_SPAN_Pa - (found.high_Pa - found.low_Pa)) / 2;
  const [low_Pa, high_Pa] = [found.low_Pa - more, found.high_Pa + more];
  const rows = room - 2;
  const drawn = braille({ columns, rows, from_s: to_s - WINDOW_S, to_s, low_Pa, high_Pa, line_Pa: null }, trace);
  return [
    plainLine(`${pressure(scale, high_Pa)} · the last minute`, { dim: true }),
    ...drawn.map((row) => plainLine(row)),
    plainLine(pressure(scale, low_Pa), { dim: true }),
  ];
}
