import type { KeyedView, LiveView } from "../../core/judging/view.ts";
import type { Phase } from "../../core/record.ts";
import { counted, plainText } from "../../core/text.ts";
import { duration, litres, type PressureScale, pressure } from "../figures.ts";
import { type Line, type Piece, plainLine, spread } from "../parts/line.ts";
import { sourceWord } from "../plain.ts";
import { isOver, type TestState } from "./testState.ts";

const PHASES: readonly Phase[] = ["idle", "charge", "settle", "trim", "hold", "vent"];

function sectionWords({ start }: TestState): string {
  const { section } = start;
  const words = [plainText(section.id)];
  if (section.dn_mm !== null) words.push(`DN ${section.dn_mm}`);
  if (section.material !== null) words.push(plainText(section.material));
  if (section.laid_length_m !== null) words.push(`${section.laid_length_m} m`);
  words.push(plainText(start.stage));
  return words.join(" · ");
}

function demand(state: TestState, scale: PressureScale): string {
  const { limits } = state.start;
  if (limits.water !== undefined) return `hold ${duration(limits.hold_s)} · added ≤ ${litres(limits.water.permitted_L)}`;
  const sign = limits.boundary === "less" ? "<" : "≤";
  const allowed =
    limits.floor_Pa === null
      ? `drop ${sign} ${pressure(scale, limits.permittedDrop_Pa)}`
      : `must remain ${pressure(scale, limits.floor_Pa)}`;
  return limits.stop === "fixed-drop"
    ? `${pressure(scale, limits.permittedDrop_Pa)} in at least ${duration(limits.hold_s)}`
    : `hold ${duration(limits.hold_s)} · ${allowed}`;
}

/** Section and method; a record that proves nothing says so here, on every screen. */
export function header(state: TestState, scale: PressureScale): Line[] {
  const word = sourceWord(state.start.source);
  const right: Line = word === null ? [] : plainLine(` ${word} `, { inverse: true, bold: true });
  const title = plainText(state.start.limits.method.title);
  return [
    spread(plainLine(sectionWords(state), { bold: true }), right, state.columns),
    spread(plainLine(title), plainLine(demand(state, scale)), state.columns),
  ];
}

/** The way of the test with the present phase in brackets, across the whole width. */
export function phaseRow(state: TestState): Line {
  const { view } = state;
  const pieces: Piece[] = [];
  for (const phase of PHASES) {
    const here = !isOver(state) && phase === view?.phase;
    pieces.push({ text: "─" });
    pieces.push(
      here
        ? {
            text: `[ ${phase.toUpperCase()} ]`,
            look: { bold: true, inverse: true },
          }
        : { text: ` ${phase} `, look: { dim: true } },
    );
  }
  const since = view === null ? "" : isOver(state) ? " result ─" : ` ${view.phase} for ${duration(view.at_s - view.phaseSince_s)} ─`;
  const used = pieces.reduce((cells, piece) => cells + piece.text.length, 0);
  const room = state.columns - used;
  pieces.push({ text: "─".repeat(Math.max(0, room > since.length ? room - since.length : room)) });
  if (room > since.length) pieces.push({ text: since });
  return pieces;
}

/** Seconds since the last usable reading; a screen that hears nothing of the session lets it grow on its own. */
export function readingAge_s(state: TestState, view: LiveView): number | null {
  if (view.pressureAt_s === null && view.gauge.silent_s === null) return null;
  const told_s = Math.max(view.gauge.silent_s ?? 0, view.pressureAt_s === null ? 0 : view.at_s - view.pressureAt_s);
  return told_s + unheard_s(state);
}

/** Seconds the session has said nothing; 0 while that is no more than ordinary, and once the test is over. */
export function unheard_s(state: TestState): number {
  const gap_s = state.heard_ms === null || isOver(state) ? 0 : (state.now_ms - state.heard_ms) / 1000;
  return gap_s < 2 ? 0 : gap_s;
}

/** An old figure in big digits would pass for a live one from 3 m away; after this long it is taken off. */
export const STALE_SECONDS = 5;

export const isStale = (state: TestState, view: LiveView): boolean =>
  !isOver(state) && (!view.gauge.up || (readingAge_s(state, view) ?? 0) >= STALE_SECONDS);

/** Health of the gauge and its line in one row. */
export function healthRow(state: TestState): Line {
  const { view } = state;
  if (view === null) return plainLine("gauge: nothing heard yet");
  const { gauge } = view;
  if (view.keyed !== undefined) return byEyeRow(view.keyed);
  const words: string[] = [];
  const age_s = readingAge_s(state, view);
  if (gauge.rate_Hz !== null) words.push(`${gauge.rate_Hz.toFixed(1)}/s`);
  words.push(age_s === null ? "no reading yet" : `read ${age_s < 10 ? age_s.toFixed(1) : Math.floor(age_s)} s ago`);
  words.push(counted(gauge.outages, "outage"));
  words.push(`${gauge.unusedBytes} bytes unused`);
  if (gauge.identity !== null) words.push(plainText(gauge.identity, 40));
  const good = gauge.up && !isStale(state, view);
  const mark: Piece = good
    ? { text: "● " }
    : {
        text: gauge.up ? "! silent · " : "× line down · ",
        look: { bold: true, colour: "red" },
      };
  return [{ text: "gauge " }, mark, { text: words.join(" · ") }];
}

/** In place of a gauge's health: what was entered, and what is called for. */
function byEyeRow({ readings, lastAge_s, called_s, next_s }: KeyedView): Line {
  const words = [`${readings} readings entered`];
  if (lastAge_s !== null) words.push(`the last ${duration(lastAge_s)} ago`);
  if (next_s !== null) words.push(`the next is called in ${duration(next_s, "up")}`);
  const call: Piece[] = called_s === null ? [] : [{ text: ` ! called ${duration(called_s)} ago `, look: { bold: true, inverse: true } }];
  return [{ text: "read by eye " }, ...call, { text: ` ${words.join(" · ")}` }];
}

/** What the keyboard can do now. */
export function keysRow(state: TestState): Line {
  if (isOver(state)) return plainLine("q close · space next page", { dim: true });
  if (state.confirm !== null) return plainLine("y yes · n no · Ctrl-C stop at once", { bold: true });
  if (state.view?.keyed?.expects === true) {
    const vent = state.view.phase === "vent" ? "s skip · " : "";
    return [
      { text: `type mm or both legs, Enter: ${state.typed}_`, look: { bold: true } },
      { text: ` · ${vent}q stop? · Ctrl-C stop at once`, look: { dim: true } },
    ];
  }
  const expects = state.view?.water?.expects ?? null;
  if (expects !== null) {
    const unit = expects === "litres" ? "L put in" : `${state.unit} of head`;
    return [
      { text: `type a figure, Enter: ${state.typed}_ ${unit}`, look: { bold: true } },
      { text: " · q stop? · Ctrl-C stop at once", look: { dim: true } },
    ];
  }
  const vent = state.view?.phase === "vent" ? "s skip the vent check? · " : "";
  return plainLine(`${vent}q stop? · Ctrl-C stop at once`, {
    dim: true,
  });
}
