import type { LiveView } from "../../core/judging/view.ts";
import { type Limits, signOf } from "../../core/methods/limits.ts";
import { duration, figure, type PressureScale, pressure } from "../figures.ts";
import { braille } from "../parts/chart.ts";
import { type Line, plainLine, spread } from "../parts/line.ts";
import { extent, levelAt } from "../parts/trace.ts";
import type { TestState } from "./testState.ts";

interface Window {
  from_s: number;
  to_s: number;
  line: { at_Pa: number; words: string } | null;
}

function holdWindow(state: TestState, from_s: number, to_s: number): Window {
  const { limits } = state.start;
  if (limits.floor_Pa !== null) return { from_s, to_s, line: { at_Pa: limits.floor_Pa, words: "floor" } };
  const start_Pa = state.view?.verdict?.hold.start_Pa ?? levelAt(state.trace, from_s) ?? limits.test_Pa;
  return {
    from_s,
    to_s,
    line: {
      at_Pa: start_Pa - signOf(limits) * limits.permittedDrop_Pa,
      words: "limit",
    },
  };
}

/** A phase is shown from its start; a hold whole, with the part still to come; the end shows the hold that was judged. */
function windowOf(state: TestState, view: LiveView): Window {
  const { limits } = state.start;
  const judged = view.verdict?.hold;
  if (judged !== undefined && judged.from_s !== null && judged.to_s !== null) {
    return holdWindow(state, judged.from_s, Math.max(judged.to_s, judged.from_s + judged.required_s));
  }
  if (view.hold !== null && view.phase === "hold") {
    const whole_s = view.hold.elapsed_s + (view.timeLeft_s ?? 0);
    return holdWindow(state, view.hold.from_s, view.hold.from_s + Math.max(whole_s, limits.hold_s, 1));
  }
  if (view.phase === "settle" || view.phase === "trim") {
    return {
      from_s: view.phaseSince_s,
      to_s: Math.max(view.at_s, view.phaseSince_s + 60),
      line: { at_Pa: limits.test_Pa, words: "test pressure" },
    };
  }
  const from_s = view.phase === "vent" ? Math.max(state.trace.origin_s, view.phaseSince_s - 60) : state.trace.origin_s;
  const line = view.phase === "charge" ? { at_Pa: limits.charge_Pa, words: "charge pressure" } : null;
  return { from_s, to_s: Math.max(view.at_s, from_s + 60), line };
}

/** Pressures to show: all that was read, the line, and at least a few steps of the figure, so that noise does not fill the height. */
function spanOf(state: TestState, window: Window, limits: Limits): { low_Pa: number; high_Pa: number } {
  const seen = extent(state.trace, window.from_s, window.to_s) ?? {
    low_Pa: 0,
    high_Pa: 0,
  };
  const low_Pa = Math.min(seen.low_Pa, window.line?.at_Pa ?? seen.low_Pa);
  const high_Pa = Math.max(seen.high_Pa, window.line?.at_Pa ?? seen.high_Pa);
  const least_Pa = Math.max(limits.permittedDrop_Pa * 0.2, 1);
  const missing_Pa = Math.max(0, least_Pa - (high_Pa - low_Pa));
  const margin_Pa = (high_Pa - low_Pa + missing_Pa) * 0.05 + missing_Pa / 2;
  return { low_Pa: low_Pa - margin_Pa, high_Pa: high_Pa + margin_Pa };
}

/** The curve in `rows` rows, the last of them the time axis; nothing when there is no room or no curve. */
export function chartRows(state: TestState, view: LiveView, scale: PressureScale, rows: number): Line[] {
  if (rows < 3 || state.columns < 30) return [];
  const window = windowOf(state, view);
  const span = spanOf(state, window, state.start.limits);
  const labels = Math.max(figure(scale, span.high_Pa).length, figure(scale, span.low_Pa).length);
  const drawn = braille(
    {
      columns: state.columns - labels - 1,
      rows: rows - 1,
      from_s: window.from_s,
      to_s: window.to_s,
      ...span,
      line_Pa: window.line?.at_Pa ?? null,
    },
    state.trace,
  );
  const lines = drawn.map((row, y): Line => {
    const label = y === 0 ? figure(scale, span.high_Pa) : y === drawn.length - 1 ? figure(scale, span.low_Pa) : "";
    return [{ text: `${label.padStart(labels)}│`, look: { dim: true } }, { text: row }];
  });
  const words = window.line === null ? "" : `   ····· ${window.line.words} ${pressure(scale, window.line.at_Pa)}`;
  const axis = spread(
    plainLine(`${" ".repeat(labels)}└${duration(window.from_s)}${words}`),
    plainLine(duration(window.to_s, "up")),
    state.columns,
  );
  return [...lines, axis];
}
