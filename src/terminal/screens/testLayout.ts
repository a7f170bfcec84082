import type { LiveView } from "../../core/judging/view.ts";
import type { Limits } from "../../core/methods/limits.ts";
import type { VerdictWord } from "../../core/record.ts";
import { plainText } from "../../core/text.ts";
import { type PressureScale, pressure, pressureScale } from "../figures.ts";
import { wrap } from "../parts/cells.ts";
import { blockMark, blockText, blockWidth, DIGIT_ROWS } from "../parts/digits.ts";
import { type Line, type Look, plainLine } from "../parts/line.ts";
import { turnLine, verdictLines } from "../plain.ts";
import { chartRows } from "./testChart.ts";
import { header, healthRow, isStale, keysRow, phaseRow, readingAge_s, STALE_SECONDS, unheard_s } from "./testHeader.ts";
import { bigFigures, cautionRows, middleRows, smallFigures } from "./testPanes.ts";
import { isOver, type TestState } from "./testState.ts";

const QUESTIONS = {
  stop: "Stop the test? Its record is then closed as void.  y yes · n no",
  "skip-vent": "Skip the vent check? A pass is then void: nothing shows that the gauge saw the pipe.  y yes · n no",
} as const;

/** What must be seen at once stands above the figures: a question, an alarm, a silent session; else the last turn. */
function noticeRows(state: TestState, scale: PressureScale): Line[] {
  const { view } = state;
  const strong = (text: string): Line[] => wrap(text, state.columns).map((row) => plainLine(row, { bold: true, inverse: true }));
  const rows: Line[] = [];
  if (view?.alarm != null) rows.push(...strong(`!! ALARM: ${plainText(view.alarm, 400)} !!`));
  if (state.confirm !== null) rows.push(...strong(QUESTIONS[state.confirm]));
  const unheard = unheard_s(state);
  if (view !== null && isStale(state, view)) {
    const age_s = readingAge_s(state, view);
    const last = view.pressure_Pa === null ? "" : `; the last was ${pressure(scale, view.pressure_Pa)}`;
    rows.push(...strong(`No reading${age_s === null ? "" : ` for ${Math.floor(age_s)} s`}${last}. Check gauge, cable and battery.`));
  }
  if (unheard >= STALE_SECONDS && !isOver(state)) rows.push(...strong(`nothing heard from the test itself for ${Math.floor(unheard)} s`));
  const late = view?.settle?.late;
  if (late != null && view?.phase === "settle") rows.push(...wrap(plainText(late, 400), state.columns).map((row) => plainLine(row)));
  if (rows.length > 0) return rows;
  const last = state.turns.at(-1);
  return [last === undefined ? plainLine("") : plainLine(turnLine(last).trim(), { dim: true })];
}

function askRows(state: TestState): Line[] {
  const say = state.view === null ? "Waiting for the first word from the gauge." : plainText(state.view.ask.say, 400);
  const rows = wrap(`▶ ${say}`, state.columns).map((row) => plainLine(row, { bold: true, colour: "cyan" }));
  return rows.length < 2 ? [...rows, plainLine("")] : rows;
}

/** `lines` in `room` rows; what does not fit comes in turn, every eight seconds or by the space bar. */
function paged(state: TestState, lines: readonly Line[], room: number): Line[] {
  if (room < 1) return [];
  if (lines.length <= room) return [...lines];
  const size = Math.max(1, room - 1);
  const pages = Math.ceil(lines.length / size);
  const page = (Math.floor((state.now_ms - state.pagesFrom_ms) / 8000) + state.turned) % pages;
  return [
    ...lines.slice(page * size, (page + 1) * size),
    plainLine(`page ${page + 1} of ${pages} · ${state.desk ? "↓" : "space"} turns the page`, {
      dim: true,
    }),
  ].slice(0, room);
}

const VERDICT_LOOKS: Readonly<Record<VerdictWord, Look>> = {
  pass: { bold: true, colour: "green" },
  fail: { bold: true, colour: "red" },
  void: { bold: true, colour: "yellow" },
  inconclusive: { bold: true, colour: "yellow" },
};

/** The verdict: a mark of its own shape, the word in block letters, then everything it rests on. */
function verdictBody(state: TestState, view: LiveView, scale: PressureScale, room: number): Line[] {
  const { verdict } = view;
  if (verdict === null) return [plainLine("The test is over; its record is being closed.", { bold: true })];
  const look = VERDICT_LOOKS[verdict.verdict];
  const letters = verdict.verdict.toUpperCase();
  const cells = (wide: number): number => blockWidth(letters, wide) + (DIGIT_ROWS + 2) * wide;
  const wide = cells(2) <= state.columns ? 2 : 1;
  const word = blockText(letters, wide);
  const gap = " ".repeat(2 * wide);
  const fits = cells(wide) <= state.columns && room >= leastForBlocks(state, 4);
  const big: Line[] = fits ? blockMark(verdict.verdict, wide).map((row, y) => [{ text: `${row}${gap}${word[y] ?? ""}`, look }]) : [];
  const text = verdictLines(verdict, state.unit).flatMap((line, i) =>
    wrap(line, state.columns - 2).map((row, j) => plainLine(`${j === 0 ? "" : "  "}${row}`, i === 0 ? look : {})),
  );
  const left = room - big.length;
  const chart = left - text.length > 5 ? chartRows(state, view, scale, left - text.length - 1) : [];
  return [...big, ...paged(state, text, left - chart.length), ...chart];
}

/** Rows from which block letters are used, when so many must be left beside them; at a desk the curve and the words want more. */
const leastForBlocks = (state: TestState, beside: number): number => DIGIT_ROWS + (state.desk ? 14 : beside);

function runningBody(state: TestState, view: LiveView, scale: PressureScale, room: number): Line[] {
  const figures = room >= leastForBlocks(state, 2) ? bigFigures(state, view, scale) : [smallFigures(state, view, scale)];
  const spare = room - figures.length;
  const middle = middleRows(state, view, scale, spare - 6).slice(0, Math.max(0, spare));
  const rest = spare - middle.length;
  const log = rest >= 14 ? state.turns.slice(-5).map((turn) => plainLine(turnLine(turn), { dim: true })) : [];
  return [...figures, ...middle, ...chartRows(state, view, scale, rest - log.length), ...log];
}

/** Before charging the cautions have the floor; the pressure stands above them, in block letters where both fit. */
function idleBody(state: TestState, view: LiveView | null, scale: PressureScale, room: number): Line[] {
  const cautions = cautionRows(state);
  if (view === null) return paged(state, cautions, room);
  const big = room - cautions.length >= DIGIT_ROWS + 1;
  const figures = big ? [...bigFigures(state, view, scale), plainLine("")] : [smallFigures(state, view, scale)];
  return [...figures, ...paged(state, cautions, room - figures.length)];
}

function body(state: TestState, scale: PressureScale, room: number): Line[] {
  const { view } = state;
  if (view === null || (view.phase === "idle" && !isOver(state))) return idleBody(state, view, scale, room);
  return isOver(state) ? verdictBody(state, view, scale, room) : runningBody(state, view, scale, room);
}

/** So few rows that section, gauge and keys are left out. */
export const isLow = ({ rows }: Pick<TestState, "rows">): boolean => rows - 1 < 14;

/** How pressures stand on the screen of one test. */
export const scaleOf = (limits: Limits, unit: string): PressureScale =>
  pressureScale(unit, limits.permittedDrop_Pa, Math.sign(limits.test_Pa) * Math.max(Math.abs(limits.top_Pa), Math.abs(limits.charge_Pa)));

/**
 * The test screen as rows of exactly one less than the terminal has (ink clears the whole terminal at each frame when all are
 * used). On a very low terminal the rows about the gauge, the section and the keys give way first. `foot` stands at the bottom: a replay has
 * keys of its own.
 */
export function layTest(state: TestState, foot: readonly Line[] = [healthRow(state), keysRow(state)]): Line[] {
  const scale = scaleOf(state.start.limits, state.unit);
  const height = Math.max(1, state.rows - 1);
  const low = isLow(state);
  const above = [...(low ? [] : header(state, scale)), phaseRow(state), ...askRows(state), ...noticeRows(state, scale)];
  const below = low ? [] : foot;
  const rows = [...above, ...body(state, scale, Math.max(1, height - above.length - below.length))];
  while (rows.length < height - below.length) rows.push(plainLine(""));
  return [...rows.slice(0, height - below.length), ...below];
}
