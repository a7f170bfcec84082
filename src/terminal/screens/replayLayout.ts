import type { Verdict } from "../../core/record.ts";
import { plainText } from "../../core/text.ts";
import { figure, type PressureScale, pressure } from "../figures.ts";
import { cellWidth } from "../parts/cells.ts";
import { type Line, lineWidth, type Piece, plainLine, spread } from "../parts/line.ts";
import { sourceWord } from "../plain.ts";
import { shown } from "./replayAsked.ts";
import { barRows, placeRow, replayKeysRow } from "./replayBar.ts";
import { bytesRows } from "./replayBytes.ts";
import { figureRows } from "./replayFigures.ts";
import { helpRows } from "./replayHelp.ts";
import { crewState } from "./replayPicture.ts";
import type { ReplayState } from "./replayState.ts";
import { healthRow } from "./testHeader.ts";
import { isLow, layTest, scaleOf } from "./testLayout.ts";

/** Two panes stand side by side from here on. */
const WIDE_COLUMNS = 110;
/** The crew's screen is never cut below this for the panes. */
const LEAST_CREW_ROWS = 9;

/** The verdict in a few words. */
function inShort({ verdict, hold, water }: Verdict, scale: PressureScale): string {
  const word = verdict.toUpperCase();
  if (water !== undefined || hold.drop_Pa === null) return word;
  return `${word}, drop ${figure(scale, hold.drop_Pa).trim()} of ${pressure(scale, hold.permitted_Pa)}`;
}

/** How what comes out stands to what was recorded; the shorter ones for where the longest has no room. */
function comparisons(state: ReplayState, scale: PressureScale): string[] {
  const { before, film, comparison } = shown(state);
  const recorded = before === null ? "no recorded verdict" : `recorded: ${inShort(before, scale)}`;
  const atEnd = state.player.index === film.length - 1;
  if (!atEnd || film.verdict === null) return [recorded];
  const now = inShort(film.verdict, scale);
  if (state.showsWhatIf) return [`what if: ${now} · ${recorded}`, `what if: ${film.verdict.verdict.toUpperCase()} · ${recorded}`];
  if (before === null || comparison === null) return [`replayed: ${now}`];
  if (comparison.same !== null) {
    const same = `as recorded, ${comparison.same}`;
    return [`replayed: ${now} · ${same}`, `${now} · ${same}`, `${film.verdict.verdict.toUpperCase()} · ${same}`];
  }
  const newer = before.judge_version !== film.verdict.judge_version ? "judged differently now" : "NOT AS RECORDED";
  const parted = comparison.parted.map((one) => plainText(one, 80)).join("; ");
  return [`${newer}: ${film.verdict.verdict.toUpperCase()}, recorded ${before.verdict.toUpperCase()}; ${parted}`];
}

const LOUD = { inverse: true, bold: true };

/**
 * That this is no running test, what is other than it was, and the verdict: the top of every replay. `word` says that the record proves
 * nothing, where the crew's own rows have no room for it.
 */
function titleRows(state: ReplayState, scale: PressureScale, word: string | null): Line[] {
  const { changes, seal } = shown(state);
  const right: Line = word === null ? [] : [{ text: ` ${word} `, look: LOUD }];
  const altered = seal !== null && seal.what !== "";
  const head = (name: string): Piece => ({
    text: ` ${name}${seal === null ? "" : ` · ${plainText(seal.word, 40)}`} `,
    look: altered ? { ...LOUD, colour: "red" } : LOUD,
  });
  const told = (cells: number): Piece => ({ text: ` ${fitting(comparisons(state, scale), cells)}`, look: { bold: true } });
  const first = head(state.showsWhatIf ? "WHAT IF" : "REPLAY");
  const room = state.columns - lineWidth([first]) - lineWidth(right) - 1;
  if (!state.showsWhatIf) return [spread([first, told(room)], right, state.columns)];
  const what = changes.map((one) => plainText(one, 60)).join(", ");
  const unchanged = [`${what} · nothing recorded is changed`, `${what} · record unchanged`, what];
  return [spread([first, { text: ` ${fitting(unchanged, room)}` }], right, state.columns), [told(state.columns)]];
}

/** The longest of some wordings that has room behind a blank; the last where none has. */
const fitting = (wordings: readonly string[], cells: number): string =>
  wordings.find((text) => cellWidth(text) < cells) ?? wordings.at(-1) ?? "";

const padded = (line: Line, cells: number): Line => [...line, { text: " ".repeat(Math.max(0, cells - lineWidth(line))) }];

/** Bytes and figures, side by side or one above the other. */
function paneRows(state: ReplayState, scale: PressureScale, rows: number): Line[] {
  const { film, unit } = shown(state);
  const { columns, player } = state;
  if (state.bytes && state.figures && columns >= WIDE_COLUMNS) {
    const right = Math.floor(columns * 0.46);
    const left = columns - right - 1;
    const figures = figureRows(state, scale, right, rows);
    return bytesRows(film, unit, player.index, left, rows).map((line, y) => [...padded(line, left + 1), ...(figures[y] ?? [])]);
  }
  const half = state.bytes && state.figures ? Math.floor(rows / 2) : rows;
  return [
    ...(state.bytes ? bytesRows(film, unit, player.index, columns, half) : []),
    ...(state.figures ? figureRows(state, scale, columns, state.bytes ? rows - half : rows) : []),
  ];
}

/**
 * The replay as rows of exactly one less than the terminal has: what the crew saw, and round it what belongs to the replay. On a very low
 * terminal the rows about the replay give way last: where one stands matters more than the gauge's health.
 */
export function layReplay(state: ReplayState): Line[] {
  const picture = shown(state);
  const scale = scaleOf(picture.film.start.limits, picture.unit);
  const height = Math.max(1, state.rows - 1);
  const below = [...barRows(state), placeRow(state), replayKeysRow(state)].slice(-Math.max(1, height - 2));
  const titled = (low: boolean): Line[] => titleRows(state, scale, low ? sourceWord(picture.film.start.source) : null);
  const above = titled(true).length;
  const room = Math.max(0, height - above - below.length);
  const wanted = state.bytes || state.figures ? Math.min(18, Math.floor(room * 0.45)) : 0;
  const panes = !state.help && room - wanted >= LEAST_CREW_ROWS && wanted >= 3 ? paneRows(state, scale, wanted) : [];
  const crew = crewState(picture, state.player, { ...state, rows: room - panes.length + 1 });
  const seen = state.help ? helpRows(state.columns) : room - panes.length > 0 ? layTest(crew, [healthRow(crew)]) : [];
  const rows = [...titled(isLow(crew)), ...seen, ...panes];
  while (rows.length < height - below.length) rows.push(plainLine(""));
  return [...rows.slice(0, Math.max(0, height - below.length)), ...below].slice(-height);
}
