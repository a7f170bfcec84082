import type { JournalEvent } from "../../core/journal.ts";
import type { Film } from "../../core/replay/film.ts";
import type { PlacedReading } from "../../core/replay/readings.ts";
import { plainText } from "../../core/text.ts";
import { canonicalUnit, toUnit } from "../../core/units.ts";
import { clip } from "../parts/cells.ts";
import { type Line, plainLine } from "../parts/line.ts";
import { tapeTime } from "./replayBar.ts";

/** Cells before the bytes (time, direction), and those after them for the reading. */
const HEAD = 13;
const TAIL = 14;

const hex = (bytes: Uint8Array): string => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join(" ");

/** Printable ASCII as it is, everything else a dot: nothing of a gauge's line reaches the terminal as more than a letter. */
const letters = (bytes: Uint8Array): string =>
  Array.from(bytes, (byte) => (byte >= 0x20 && byte < 0x7f ? String.fromCharCode(byte) : "·")).join("");

/** What the driver read, in the unit the gauge spoke. */
function readingWords({ pressure_Pa, unit, air_C, status }: PlacedReading, methodUnit: string): string {
  if (pressure_Pa === null) return status === null ? "no value" : plainText(status, 20);
  const name = canonicalUnit(unit ?? "") ?? canonicalUnit(methodUnit) ?? "Pa";
  const value = Number(toUnit(pressure_Pa, name).toPrecision(6));
  return `${value} ${name}${air_C === null ? "" : ` ${Number(air_C.toFixed(2))} °C`}`;
}

/** What is no bytes, in words. */
function words(event: JournalEvent): string {
  switch (event.kind) {
    case "wake":
      return "timer of the driver";
    case "silence":
      return `nothing heard for ${((event.at_ms - event.since_ms) / 1000).toFixed(1)} s`;
    case "link-up":
      return `line open: ${plainText(event.detail)}`;
    case "link-down":
      return `line down: ${plainText(event.reason)}`;
    case "key":
      return `key: ${plainText(event.action)}`;
    case "zero":
      return `zero taken: ${event.zero_Pa} Pa`;
    case "end":
      return `end: ${event.cause}${event.detail === "" ? "" : `, ${plainText(event.detail)}`}`;
    default:
      return "";
  }
}

interface Place {
  film: Film;
  unit: string;
  columns: number;
}

/** One event: a row for so many bytes as fit, all of them when it is the one stood on. */
function eventRows({ film, unit, columns }: Place, index: number, here: boolean): string[] {
  const event = film.tape.event(index);
  // Of several gauges each has its line; the one on the pipe goes without a number.
  const stamp = `${here ? "▸" : " "}${tapeTime(film, film.tape.reached_ms(index)).padStart(9)}${event.line ?? " "}`;
  const read = film.readings.of(index).map((reading) => readingWords(reading, unit));
  if (event.kind !== "bytes-in" && event.kind !== "bytes-sent") {
    const typed = read.length === 0 ? "" : ` = ${read.join(", ")}`;
    return [clip(`${stamp}· ${words(event)}${typed}`, columns)];
  }
  const arrow = event.kind === "bytes-in" ? "← " : "→ ";
  const each = Math.max(4, Math.floor((columns - HEAD - TAIL - 1) / 4));
  const rows: string[] = [];
  for (let from = 0; from === 0 || (here && from < event.bytes.length); from += each) {
    const part = event.bytes.subarray(from, from + each);
    const more = !here && event.bytes.length > each ? "+" : " ";
    const first = from === 0 ? `${stamp}${arrow}` : " ".repeat(stamp.length + arrow.length);
    const told = from === 0 ? read.join(", ") : "";
    rows.push(clip(`${first}${hex(part).padEnd(3 * each)}${letters(part).padEnd(each)}${more} ${told}`.trimEnd(), columns));
  }
  return rows;
}

/** The line's traffic up to the place, the newest at the foot: hexadecimal, letters, and the driver's reading beside. */
export function bytesRows(film: Film, unit: string, index: number, columns: number, rows: number): Line[] {
  if (rows < 2) return [];
  const title = plainLine(clip(" bytes of the gauge line · letters · read by the driver", columns).padEnd(columns), {
    dim: true,
    inverse: true,
  });
  const room = rows - 1;
  const place = { film, unit, columns };
  const whole = eventRows(place, index, true);
  const last = whole.length <= room ? whole : [...whole.slice(0, room - 1), clip(`${" ".repeat(HEAD)}… and more`, columns)];
  const above: string[] = [];
  for (let i = index - 1; i >= 0 && above.length + last.length < room; i--) above.unshift(eventRows(place, i, false)[0] ?? "");
  const body = [...above.map((row) => plainLine(row)), ...last.map((row) => plainLine(row, { bold: true }))];
  while (body.length < room) body.push(plainLine(""));
  return [title, ...body];
}
