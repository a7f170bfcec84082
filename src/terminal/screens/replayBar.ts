import type { Film } from "../../core/replay/film.ts";
import type { Mark, MarkKind } from "../../core/replay/marks.ts";
import { plainText } from "../../core/text.ts";
import { duration } from "../figures.ts";
import { type Line, plainLine, spread } from "../parts/line.ts";
import { shown } from "./replayAsked.ts";
import { LEGEND } from "./replayHelp.ts";
import type { ReplayState } from "./replayState.ts";

const SIGNS: Readonly<Record<Exclude<MarkKind, "phase">, string>> = {
  alarm: "!",
  "link-down": "×",
  end: "■",
  "link-up": "○",
  "top-up": "+",
  key: "k",
  zero: "0",
  ask: "?",
  note: "·",
};

/** Of several in one cell the first of these is shown. */
const ORDER: readonly MarkKind[] = ["alarm", "link-down", "end", "phase", "top-up", "link-up", "key", "zero", "ask", "note"];

const signOf = (mark: Mark): string => (mark.kind === "phase" ? (mark.phase ?? "·").charAt(0).toUpperCase() : SIGNS[mark.kind]);

/** Cell of a time on a bar of so many. */
function cellOf(film: Film, at_ms: number, cells: number): number {
  const whole_ms = film.to_ms - film.from_ms;
  return whole_ms <= 0 ? 0 : Math.min(cells - 1, Math.max(0, Math.floor(((at_ms - film.from_ms) / whole_ms) * cells)));
}

/** Events above the bar, each by its sign. */
function markCells(film: Film, cells: number): string {
  const found = new Map<number, Mark>();
  for (const mark of film.marks) {
    const cell = cellOf(film, film.tape.reached_ms(mark.index), cells);
    const there = found.get(cell);
    if (there === undefined || ORDER.indexOf(mark.kind) < ORDER.indexOf(there.kind)) found.set(cell, mark);
  }
  return Array.from({ length: cells }, (_, cell) => {
    const mark = found.get(cell);
    return mark === undefined ? " " : signOf(mark);
  }).join("");
}

/** `12:03.4`: seconds from the start of the tape. */
export const tapeTime = (film: Film, at_ms: number): string => {
  const tenths = Math.floor((at_ms - film.from_ms) / 100);
  return `${duration(Math.floor(tenths / 10))}.${((tenths % 10) + 10) % 10}`;
};

/** How far it has come, with the events above: two rows. */
export function barRows(state: ReplayState): Line[] {
  const { film } = shown(state);
  const cells = Math.max(10, state.columns - 2);
  const here = cellOf(film, state.player.at_ms, cells);
  return [
    plainLine(` ${markCells(film, cells)}`),
    [{ text: ` ${"━".repeat(here)}` }, { text: "●", look: { bold: true } }, { text: "─".repeat(cells - here - 1), look: { dim: true } }],
  ];
}

/** Running or not, how fast, where of how much, and the event one stands on. */
export function placeRow(state: ReplayState): Line {
  const { player, columns } = state;
  const { film } = shown(state);
  const run = player.running === null ? "‖" : "▶";
  const count = film.readings.countUpTo(player.index);
  const toGo = duration((film.to_ms - player.at_ms) / 1000, "up");
  const time = `${tapeTime(film, player.at_ms)} of ${tapeTime(film, film.to_ms)} · ${toGo} to go`;
  const left = ` ${run} ×${player.speed} · ${time} · reading ${count} of ${film.readings.length}`;
  const mark = film.markAt(player.index);
  const on =
    mark !== null && mark.index === player.index
      ? `${signOf(mark)} ${plainText(mark.text, 200)}`
      : columns > left.length + LEGEND.length
        ? LEGEND
        : "";
  const room = columns - left.length - 2;
  return spread(plainLine(left, { bold: true }), plainLine(room < 12 || on === "" ? "" : clipped(on, room), { dim: true }), columns);
}

const clipped = (text: string, cells: number): string => (text.length <= cells ? text : `${text.slice(0, cells - 1)}…`);

/** What the keyboard can do now; a question and a complaint come first. */
export function replayKeysRow(state: ReplayState): Line {
  if (state.typed !== null) {
    return [
      { text: ` go to time: ${state.typed}_`, look: { bold: true } },
      { text: "  90, 1:30 or 1:02:03 · Enter goes · Esc stays", look: { dim: true } },
    ];
  }
  if (state.notice !== null) return plainLine(` ${plainText(state.notice, 200)}`, { bold: true });
  const also = state.whatIf === null ? "" : state.showsWhatIf ? " · w as recorded" : " · w what if";
  const keys = KEYS.find((text) => text.length + also.length < state.columns) ?? KEYS.at(-1);
  return plainLine(` ${keys}${also}`, { dim: true });
}

/** The longest that fits. */
const KEYS = [
  "space play · ←→ second · [] reading · np event · g time · +- speed · b bytes · v figures · ? keys · q leave",
  "space play · ←→ 1 s · [] reading · np event · g time · +- speed · ? keys · q",
  "space play · ←→ [] np · g time · +- speed · ? keys · q leave",
];
