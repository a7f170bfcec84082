import { barEnd } from "../../core/live/hunt.ts";
import type { GaugeView } from "../../core/live/view.ts";
import { counted, plainText } from "../../core/text.ts";
import { toUnit } from "../../core/units.ts";
import { duration, type PressureScale, pressureScale } from "../figures.ts";
import { figureTrouble, leakWords, liveFigure, noiseWords, rateFigure, rateWords, sideWords } from "../liveWords.ts";
import { blockText, blockWidth, DIGIT_ROWS } from "../parts/digits.ts";
import { gapRows } from "../parts/histogram.ts";
import { type Line, type Look, plainLine, spread } from "../parts/line.ts";
import { sourceWord } from "../plain.ts";
import { curveRows } from "./liveCurve.ts";
import type { LiveState } from "./liveState.ts";

const CAUTION = "! Keep out of line with the plugs. A gauge at zero is no permission to enter.";

function header(state: LiveState): Line[] {
  const view = state.look?.view ?? null;
  const word = sourceWord(state.source);
  const identity = view?.health.identity ?? null;
  const about = [`protocol ${state.protocol}`, state.reference, ...(identity === null ? [] : [plainText(identity, 60)])].join(" · ");
  const count = view === null ? "" : `${view.readings} readings · ${duration(view.at_s)}`;
  return [
    spread(
      plainLine(plainText(state.gauge), { bold: true }),
      word === null ? [] : plainLine(` ${word} `, { bold: true, inverse: true }),
      state.columns,
    ),
    spread(plainLine(about), plainLine(count), state.columns),
    plainLine("─".repeat(state.columns), { dim: true }),
  ];
}

const beside = (row: number, words: string): string => (row === DIGIT_ROWS - 1 ? ` ${words}` : " ".repeat(words.length + 1));

/** Pressure and its change in block letters, as wide as fits; the change gives way first. */
function bigFigures(state: LiveState, view: GaugeView, scale: PressureScale): Line[] {
  const left = liveFigure(view, scale);
  const rate = rateFigure(view.quick === null ? null : view.quick.rate_Pa_s * 60, state.unit);
  const rateUnit = `${state.unit}/min`;
  const cells = (wide: number, words: string): number =>
    blockWidth(left, wide) + scale.unit.length + 4 + (words === "" ? 0 : blockWidth(words) + rateUnit.length + 1);
  const both = cells(1, rate) <= state.columns;
  const right = both ? rate : "";
  const wide = cells(2, right) <= state.columns ? 2 : 1;
  const look: Look = { bold: true };
  const change = blockText(right, 1);
  return blockText(left, wide).map((row, y) =>
    spread(
      [{ text: row, look }, { text: beside(y, scale.unit) }],
      both ? [{ text: change[y] ?? "", look }, { text: beside(y, rateUnit) }] : [],
      state.columns,
    ),
  );
}

function smallFigures(state: LiveState, view: GaugeView, scale: PressureScale): Line {
  const rate = rateFigure(view.quick === null ? null : view.quick.rate_Pa_s * 60, state.unit);
  return plainLine(`${liveFigure(view, scale)} ${scale.unit} · ${rate} ${state.unit}/min`, { bold: true });
}

/** The loss as a bar that can be followed from the joint that is being sprayed, with a mark at the largest of the last minute. */
function huntRow(state: LiveState, { loss }: GaugeView): Line {
  const unit = `${state.unit}/min`;
  if (loss === null) return plainLine("loss  not yet known");
  const value = Math.max(0, toUnit(loss.loss_Pa_min, state.unit));
  const largest = Math.max(value, toUnit(loss.largest_Pa_min, state.unit));
  const end = barEnd(largest);
  const words = loss.loss_Pa_min < 0 && !loss.plain ? "none" : rateFigure(Math.max(0, loss.loss_Pa_min), state.unit);
  const tail = ` ${words.padStart(7)} of ${end} ${unit}`;
  const room = Math.max(4, state.columns - "loss  []".length - tail.length);
  const full = Math.round((Math.min(value, end) / end) * room);
  const mark = Math.min(room - 1, Math.round((largest / end) * room));
  const cells = Array.from({ length: room }, (_, x) => (x < full ? "█" : x === mark ? "│" : "░")).join("");
  return [{ text: "loss  [" }, { text: cells, look: { bold: loss.plain } }, { text: "]" }, { text: tail, look: { bold: true } }];
}

function healthRow(state: LiveState): Line {
  const view = state.look?.view ?? null;
  if (view === null) return plainLine("gauge: nothing heard yet");
  const { health, gaps } = view;
  const words: string[] = [];
  if (health.rate_Hz !== null) words.push(`${health.rate_Hz.toFixed(1)}/s`);
  if (health.silent_s !== null) words.push(`read ${health.silent_s.toFixed(1)} s ago`);
  words.push(counted(health.outages, "outage"), `${health.unusedBytes} bytes unused`);
  if (gaps.longest_ms !== null) words.push(`longest gap ${(gaps.longest_ms / 1000).toFixed(2)} s`);
  const trouble = figureTrouble(view);
  const mark = trouble === null ? { text: "● " } : { text: `! ${trouble} · `, look: { bold: true, colour: "red" } as Look };
  return [{ text: "gauge " }, mark, { text: words.join(" · ") }];
}

function below(state: LiveState): Line[] {
  const notice = state.notice === null ? plainLine("") : plainLine(plainText(state.notice, 200), { bold: true, inverse: true });
  const keys = `z zero (gauge open to the air) · s sound ${state.sound ? "off" : "on"} · q end`;
  return [notice, plainLine(CAUTION, { bold: true }), healthRow(state), plainLine(keys, { dim: true })];
}

function body(state: LiveState, room: number): Line[] {
  const { look } = state;
  if (look === null) return [plainLine("Waiting for the first word from the gauge.")];
  const { view } = look;
  const scale = pressureScale(state.unit);
  const big = room >= DIGIT_ROWS + 6;
  const rows = big ? [...bigFigures(state, view, scale), plainLine("")] : [smallFigures(state, view, scale)];
  rows.push(huntRow(state, view));
  rows.push(
    ...[rateWords(view, state.unit), leakWords(view.loss, state.pipe), noiseWords(view.noise), sideWords(view)].map((text) =>
      plainLine(text),
    ),
  );
  const gaps = room - rows.length >= 3 ? gapRows(view.gaps.counts, "gaps  ", state.columns, room - rows.length >= 8 ? 3 : 2) : [];
  const left = room - rows.length - gaps.length;
  return [...rows, ...curveRows(look.recent, scale, state.columns, left), ...gaps];
}

/** The live screen as rows of exactly one less than the terminal has (ink clears the whole terminal at each frame when all are used). */
export function layLive(state: LiveState): Line[] {
  const height = Math.max(1, state.rows - 1);
  const low = height < 12;
  const above = low ? [] : header(state);
  const foot = low ? [] : below(state);
  const room = Math.max(1, height - above.length - foot.length);
  const rows = body(state, room).slice(0, room);
  while (rows.length < room) rows.push(plainLine(""));
  return [...above, ...rows, ...foot];
}
