import type { PressureScale } from "../figures.ts";
import { clip } from "../parts/cells.ts";
import { type Line, plainLine } from "../parts/line.ts";
import { type FigureRow, finer, verdictFigures } from "../verdictFigures.ts";
import { shown } from "./replayAsked.ts";
import type { ReplayState } from "./replayState.ts";

const LABEL = 14;
/** Below this there is room for two figures, not for what lies between them. */
const WIDE_ENOUGH = 50;

/** What each row is cut to. */
function setting(columns: number): (mark: string, row: Omit<FigureRow, "mark">) => string {
  const three = columns >= WIDE_ENOUGH;
  const wide = Math.max(8, Math.floor((columns - LABEL - 2) / (three ? 3 : 2)));
  const cell = (text: string): string => clip(text, wide - 1).padEnd(wide);
  return (mark, { label, before, now, difference }) =>
    clip(`${clip(` ${label}`, LABEL - 1).padEnd(LABEL)}${mark} ${cell(before)}${cell(now)}${three ? difference : ""}`, columns);
}

/**
 * The verdict as recorded and as it comes out now, figure beside figure, with what lies between: `=` the same, `≠` not. What
 * does not fit comes page by page.
 */
export function figureRows(state: ReplayState, scale: PressureScale, columns: number, rows: number): Line[] {
  if (rows < 2) return [];
  const { before, film } = shown(state);
  const row = setting(columns);
  const name = state.showsWhatIf && state.whatIf !== null ? "what if" : "replayed";
  const title = (page: string): Line =>
    plainLine(row(" ", { label: `figure${page}`, before: "recorded", now: name, difference: "difference" }).padEnd(columns), {
      dim: true,
      inverse: true,
    });
  const all = verdictFigures(before, film.views.at(state.player.index), finer(scale));
  const room = rows - 1;
  const pages = Math.max(1, Math.ceil(all.length / room));
  const page = state.figuresTurned % pages;
  const body = all
    .slice(page * room, (page + 1) * room)
    .map((one) => plainLine(row(one.mark, one), one.mark === "≠" ? { bold: true } : {}));
  while (body.length < room) body.push(plainLine(""));
  return [title(pages > 1 ? ` ${page + 1}/${pages}↓` : ""), ...body];
}
