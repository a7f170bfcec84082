import type { HoldView, LiveView, WaterView } from "../../core/judging/view.ts";
import type { Limits } from "../../core/methods/limits.ts";
import { plainText } from "../../core/text.ts";
import { duration, figure, litres, type PressureScale, pressure } from "../figures.ts";
import { wrap } from "../parts/cells.ts";
import { blockText, blockWidth, DIGIT_ROWS } from "../parts/digits.ts";
import { type Line, type Look, plainLine, spread } from "../parts/line.ts";
import { isStale } from "./testHeader.ts";
import type { TestState } from "./testState.ts";

/** What follows a figure in block letters, on their base line: the unit, and "left". */
const beside = (row: number, words: string): string => (row === DIGIT_ROWS - 1 ? ` ${words}` : " ".repeat(words.length + 1));

/** Pressure and time left in block letters, as wide as fits. */
export function bigFigures(state: TestState, view: LiveView, scale: PressureScale): Line[] {
  const stale = isStale(state, view);
  const left = figure(scale, stale ? null : view.pressure_Pa);
  const right = view.timeLeft_s === null ? "" : duration(view.timeLeft_s, "up");
  const rightWords = right === "" ? "" : "left";
  const cells = (wide: number): number => blockWidth(left, wide) + blockWidth(right, wide) + scale.unit.length + rightWords.length + 5;
  const wide = cells(2) <= state.columns ? 2 : 1;
  const look: Look = { bold: true };
  const time = blockText(right, wide);
  return blockText(left, wide).map((row, y) =>
    spread(
      [{ text: row, look }, { text: beside(y, scale.unit) }],
      right === "" ? [] : [{ text: time[y] ?? "", look }, { text: beside(y, rightWords) }],
      state.columns,
    ),
  );
}

/** The same in one row, where there is no room for block letters. */
export function smallFigures(state: TestState, view: LiveView, scale: PressureScale): Line {
  const left = view.timeLeft_s === null ? "" : ` · ${duration(view.timeLeft_s, "up")} left`;
  return plainLine(`${pressure(scale, isStale(state, view) ? null : view.pressure_Pa)}${left}`, { bold: true });
}

/** A bar of `cells` cells with brackets; what goes over the end is marked there. */
function bar(fraction: number, cells: number): string {
  const room = Math.max(1, cells - 2);
  if (fraction > 1) return `[${"█".repeat(room - 1)}▶]`;
  const full = Math.round(Math.max(0, fraction) * room);
  return `[${"█".repeat(full)}${"░".repeat(room - full)}]`;
}

function course(hold: HoldView): { words: string; look: Look } {
  if (hold.willFail) return { words: "WILL FAIL", look: { bold: true, inverse: true } };
  const low = hold.projectedLow_Pa ?? hold.projected_Pa ?? 0;
  const high = hold.projectedHigh_Pa ?? hold.projected_Pa ?? 0;
  if (high <= hold.permitted_Pa) return { words: "within the limit so far", look: {} };
  if (low > hold.permitted_Pa) return { words: "over the limit so far", look: { bold: true } };
  return { words: "near the limit", look: { bold: true } };
}

/** Drop used of drop permitted, and where it is heading. */
function holdRows(state: TestState, hold: HoldView, scale: PressureScale): Line[] {
  const share = hold.drop_Pa === null ? 0 : hold.drop_Pa / hold.permitted_Pa;
  const figures = ` ${figure(scale, hold.drop_Pa)} of ${pressure(scale, hold.permitted_Pa)} (${hold.drop_Pa === null ? "--" : Math.round(share * 100)} %)`;
  const label = "drop used  ";
  const used: Line = [
    { text: label },
    {
      text: bar(share, Math.max(12, state.columns - label.length - Math.max(30, figures.length))),
    },
    { text: figures, look: { bold: true } },
  ];
  if (hold.projected_Pa === null) return [used, plainLine("at the end  too early to say")];
  const band =
    hold.projectedLow_Pa === null || hold.projectedHigh_Pa === null
      ? ""
      : ` (${figure(scale, hold.projectedLow_Pa).trim()} to ${pressure(scale, hold.projectedHigh_Pa)}, 95 %)`;
  const { words, look } = course(hold);
  return [used, [{ text: `at the end ${figure(scale, hold.projected_Pa)} ${scale.unit}: ` }, { text: words, look }, { text: band }]];
}

/** Litres put in of litres permitted; a standpipe's are told at the end. */
function waterRows(state: TestState, water: WaterView): Line[] {
  if (water.added_L === null) return [plainLine(`at most ${litres(water.permitted_L)}; read from the standpipe at the end`)];
  const label = "water used ";
  const figures = ` ${litres(water.added_L)} of ${litres(water.permitted_L)}, ${water.topUps} top-ups${water.willFail ? " · WILL FAIL" : ""}`;
  const width = Math.max(12, state.columns - label.length - Math.max(30, figures.length));
  return [[{ text: label }, { text: bar(water.added_L / water.permitted_L, width) }, { text: figures, look: { bold: true } }]];
}

function settleRows(state: TestState, view: LiveView, scale: PressureScale): Line[] {
  const { settle } = view;
  if (settle === null) return [];
  const whole_s = state.start.limits.settle_s;
  const served = whole_s > 0 ? 1 - settle.minimumLeft_s / whole_s : 1;
  const label = "settling   ";
  const figures = ` ${duration(settle.minimumLeft_s, "up")} left of ${duration(whole_s)}`;
  const sizeOf = (change_Pa: number): string => `${change_Pa < 0 ? "a rise" : "a fall"} of ${pressure(scale, Math.abs(change_Pa))}`;
  const coming = settle.coming_Pa === null ? "not known yet" : sizeOf(settle.coming_Pa);
  return [
    plainLine(`${label}${bar(served, Math.max(12, state.columns - label.length - Math.max(30, figures.length)))}${figures}`),
    plainLine(`still to come by itself: ${coming}; must be less than ${pressure(scale, settle.allowance_Pa)}`),
  ];
}

function trimRows(limits: Limits, scale: PressureScale): Line[] {
  const from = pressure(scale, limits.test_Pa - limits.startTolerance_Pa);
  const to = pressure(scale, limits.test_Pa + limits.startTolerance_Pa);
  return [plainLine(`The clock starts between ${from} and ${to}, valve shut.`)];
}

const VENT_WORDS = "A gauge that reads zero is no permission: open the vent at the plug, leave it open, make sure by eye or ear.";

/** One caution after the other, each for a while: where the hand is, but in two rows. */
function rotating(state: TestState): string {
  const each_ms = 6000;
  const place = Math.floor((state.now_ms - state.pagesFrom_ms) / each_ms) % Math.max(1, state.cautions.length);
  return plainText(state.cautions[place] ?? "", 1000);
}

/** The rows between the big figures and the curve. */
export function middleRows(state: TestState, view: LiveView, scale: PressureScale, room: number): Line[] {
  const { limits } = state.start;
  const held = view.hold === null ? [] : holdRows(state, view.hold, scale);
  if (view.water !== undefined && view.phase === "hold") return waterRows(state, view.water);
  if (view.water !== undefined && view.phase !== "charge" && view.phase !== "idle") return [];
  if (view.phase === "vent") return [...wrap(VENT_WORDS, state.columns).map((row) => plainLine(row, { bold: true })), ...held];
  if (held.length > 0) return held;
  if (view.phase === "settle") return settleRows(state, view, scale);
  if (view.phase === "trim") return trimRows(limits, scale);
  const target = plainLine(
    `${view.water === undefined ? "pump" : "fill"} to ${pressure(scale, limits.charge_Pa)}, never beyond ${pressure(scale, limits.top_Pa)}`,
  );
  const all = cautionRows(state);
  if (all.length < room) return [target, ...all];
  return [target, ...wrap(`! ${rotating(state)}`, state.columns).map((row) => plainLine(row))];
}

/** Every caution whole, each with its mark, wrapped to the screen. */
export const cautionRows = (state: TestState): Line[] =>
  state.cautions.flatMap((caution) =>
    wrap(plainText(caution, 1000), state.columns - 2).map((row, i) =>
      plainLine(`${i === 0 ? "! " : "  "}${row}`, i === 0 ? { bold: true } : {}),
    ),
  );
