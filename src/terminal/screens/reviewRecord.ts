import type { OpenedRecord } from "../../core/review/opened.ts";
import { sealWords, secondWords, shownWord } from "../../core/review/opened.ts";
import { plainText } from "../../core/text.ts";
import { toUnit } from "../../core/units.ts";
import { duration, pressure, significant } from "../figures.ts";
import { clip, wrap } from "../parts/cells.ts";
import { indexAt } from "../parts/curvePlot.ts";
import { type Line, type Look, plainLine, spread } from "../parts/line.ts";
import { sourceWord, verdictLines } from "../plain.ts";
import { clockTime } from "../wall.ts";
import { stripRows } from "./chartStrip.ts";
import { reviewWords, signatureWords } from "./recordWords.ts";
import { recordChart, ringed, scaleFor } from "./reviewChart.ts";
import { type ReviewScreenState, rowAt, shownRecord } from "./reviewState.ts";
import { WORD_LOOKS } from "./reviewTable.ts";

/** Section, stage, verdict and source: whose record this is. */
function titleRows(state: ReviewScreenState, record: OpenedRecord): Line[] {
  const { start } = record;
  const word = shownWord(record);
  const row = state.book.row(rowAt(state));
  const source = sourceWord(start.source);
  const name = `${plainText(start.section.id, 60)} · ${plainText(start.stage, 20)}`;
  const right: Line = [
    ...(source === null ? [] : [{ text: ` ${source} `, look: { inverse: true, bold: true } }, { text: " " }]),
    { text: ` ${word.toUpperCase()} `, look: { inverse: true, bold: true, ...WORD_LOOKS[word] } },
  ];
  const told = [
    plainText(start.id, 40),
    `${row.day} ${clockTime(start.started_wall_ms)}`,
    plainText(start.limits.method.id, 30),
    start.tester === null ? "tester not named" : plainText(start.tester, 40),
    plainText(row.gauge, 40),
    record.seal === "unsealed" ? "UNSEALED" : `seal ${record.seal.slice(0, 8)}`,
  ];
  return [
    spread(plainLine(name, { bold: true }), right, state.columns),
    spread(plainLine(told.join(" · ")), plainLine(row.state), state.columns),
  ];
}

/** Second opinion and the newest review, whatever else has room; the words themselves begin with the reviews. */
function loudRows(state: ReviewScreenState, record: OpenedRecord): Line[] {
  const loud = [sealWords(record), secondWords(record)].filter((words) => words !== null);
  const rows = loud.map((words) => plainLine(clip(words, state.columns), { bold: true, inverse: true }));
  const last = record.reviews.at(-1);
  if (last !== undefined && !state.words) rows.push(plainLine(wrap(reviewWords(last), state.columns)[0] ?? ""));
  return rows;
}

const degrees = (value: number): string => `${value.toFixed(1)} °C`;
const hectopascal = (value_Pa: number): string => `${(value_Pa / 100).toFixed(1)} hPa`;

/** What was read at the moment the keys have moved to. */
function readOut(state: ReviewScreenState, record: OpenedRecord): Line {
  const { time_s, pressure_Pa, air_C, ambient_Pa } = record.curve;
  if (state.at_s === null || time_s.length === 0) return plainLine("← → read figures off the curve · + − zoom · h the hold", { dim: true });
  const after = Math.min(time_s.length - 1, indexAt(time_s, state.at_s));
  const i = after > 0 && state.at_s - (time_s[after - 1] ?? 0) < (time_s[after] ?? 0) - state.at_s ? after - 1 : after;
  const scale = scaleFor(record);
  const fine = { ...scale, decimals: scale.decimals + 1 };
  const parts = [duration(time_s[i] ?? 0), pressure(fine, pressure_Pa[i] ?? null)];
  const hold = record.end?.verdict.hold;
  if (hold?.from_s != null && hold.start_Pa !== null) {
    const since_s = (time_s[i] ?? 0) - hold.from_s;
    const change_Pa = (pressure_Pa[i] ?? 0) - hold.start_Pa;
    parts.push(
      `${since_s < 0 ? "−" : "+"}${duration(Math.abs(since_s))} in the hold: ${change_Pa < 0 ? "−" : "+"}${significant(Math.abs(toUnit(change_Pa, scale.unit)), 3)} ${scale.unit}`,
    );
  }
  if (air_C !== null && !Number.isNaN(air_C[i])) parts.push(`air ${degrees(air_C[i] ?? 0)}`);
  if (ambient_Pa !== null && !Number.isNaN(ambient_Pa[i])) parts.push(`barometer ${hectopascal(ambient_Pa[i] ?? 0)}`);
  return plainLine(`│ ${parts.join(" · ")}`, { bold: true });
}

/** Everything that can be said of the record, in words. */
function wordRows(record: OpenedRecord, columns: number): Line[] {
  const { end, reviews, signatures, second } = record;
  const unit = scaleFor(record).unit;
  const seal = sealWords(record);
  const told = (text: string, look: Look = {}): Line[] =>
    wrap(text, columns - 2).map((line, i) => plainLine(`${i === 0 ? "" : "  "}${line}`, look));
  return [
    ...reviews.flatMap((review) => told(reviewWords(review), { bold: true })),
    ...signatures.flatMap((signature) => told(signatureWords(signature), { bold: true })),
    ...(seal === null ? [] : told(seal, { bold: true })),
    ...(record.altered !== null
      ? told("What lies here as its verdict is not shown. Look for a copy that is intact.")
      : end === null
        ? told("There is no verdict yet.")
        : verdictLines(end.verdict, unit).flatMap((line) => told(line))),
    ...(record.spikes.length === 0
      ? []
      : told(
          `readings that stood apart and were left out: ${record.spikes.length}, pump strokes among them; ringed: ${ringed(record).length}`,
        )),
    ...(second === null
      ? told("second opinion: none for this kind of test")
      : told(secondWords(record) ?? `second opinion: ${second.verdict}, the same`)),
  ];
}

/** A page of `lines`; the space bar turns it. */
export function pageOf(lines: readonly Line[], room: number, turned: number): Line[] {
  if (room < 1) return [];
  if (lines.length <= room) return [...lines];
  const size = Math.max(1, room - 1);
  const pages = Math.ceil(lines.length / size);
  const page = turned % pages;
  return [
    ...lines.slice(page * size, (page + 1) * size),
    plainLine(`page ${page + 1} of ${pages} · space turns the page`, { dim: true }),
  ].slice(0, room);
}

/** One record whole: curve with phases, limit, estimates, ringed readings, temperature and barometer, and its words. */
export function recordRows(state: ReviewScreenState, room: number): Line[] {
  const record = shownRecord(state);
  const { columns } = state;
  if (record === null) return [plainLine(plainText(state.trouble ?? "The curve is being worked out …", 300), { dim: true })];
  const above = [...titleRows(state, record), ...loudRows(state, record)];
  const left = room - above.length;
  const text = wordRows(record, columns);
  if (state.words && left < 30) return [...above, ...pageOf(text, left, state.turned)];
  const share = left >= 30 ? Math.min(text.length, Math.floor(left * 0.4)) : 0;
  const { air_C, ambient_Pa } = record.curve;
  const height = left >= 24 ? 2 : 1;
  const place = { columns, rows: height, window: state.window, at_s: state.at_s };
  const strips = [...stripRows("air", record, air_C, degrees, place), ...stripRows("barometer", record, ambient_Pa, hectopascal, place)];
  const chart = recordChart(record, { ...place, rows: Math.max(3, left - strips.length - 1 - share) });
  return [...above, ...chart, ...strips, readOut(state, record), ...pageOf(text, share, state.turned)].slice(0, room);
}
