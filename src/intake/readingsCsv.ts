import { CsvError, parse } from "csv-parse/sync";
import { stringify } from "csv-stringify/sync";
import { at, type Curve } from "../core/curve.ts";
import { dataError, type StaunchError } from "../core/errors.ts";
import { ABSURD_Pa, UNIT_NAMES, unitFactor_Pa } from "../core/units.ts";

/**
 * A recording as it was found. The curve is RAW: rows stand in file order, time may run backwards or stand still;
 * judging that is the judge's business. Seconds count from the first row when the file gives clock times.
 */
export interface ReadingsFile {
  curve: Curve;
  rows: number;
  columns: string[];
  /** Plain sentences: what was left out or looks odd without being an error. */
  notes: string[];
}

/** A number in `time_s` beyond this is clock time in disguise. */
const LONGEST_s = 1e8;
const LAYOUT = "time_s,pressure_Pa,air_C,ambient_Pa";

interface Column {
  name: string;
  index: number;
  factor: number;
  low: number;
  high: number;
}

interface Columns {
  time: Column & { clock: boolean };
  pressure: Column;
  air: Column | undefined;
  ambient: Column | undefined;
}

const brief = (text: string): string => JSON.stringify(text.length > 40 ? `${text.slice(0, 40)}…` : text);

const wrong = (code: string, line: number, sentence: string, hint: string): StaunchError =>
  dataError(code, `Line ${line}: ${sentence}`, hint);

function refuseUnreadable(text: string): void {
  if (text.trim() === "") throw dataError("csv-empty", "The file is empty.", `A recording begins with a line such as ${LAYOUT}.`);
  // A NUL, or bytes that are no UTF-8, never occur in a table of figures.
  if (/[\0\uFFFD]/.test(text)) throw dataError("csv-binary", "This is not a text file.", "Export the recording as CSV in UTF-8.");
}

function splitRows(text: string): string[][] {
  try {
    return parse(text, { bom: true, relax_column_count: true, skip_empty_lines: false, trim: true });
  } catch (cause) {
    if (!(cause instanceof CsvError)) throw cause;
    throw dataError(
      "csv-broken",
      `Line ${cause.lines ?? "?"}: the quotes do not match up.`,
      "Figures need no quotes; was the file cut?",
      cause,
    );
  }
}

function pressureColumns(header: readonly string[]): Column[] {
  return header.flatMap((name, index) => {
    if (!/^pressure/i.test(name)) return [];
    const unit = name.replace(/^pressure[_ ]?/i, "").replace(/^\[(.*)\]$/, "$1");
    const factor = unitFactor_Pa(unit);
    if (factor === undefined)
      throw wrong("csv-unit", 1, `column ${brief(name)} has no unit known here.`, `Write pressure_ and one of ${UNIT_NAMES.join(", ")}.`);
    return [{ name, index, factor, low: -ABSURD_Pa, high: ABSURD_Pa }];
  });
}

function readHeader(header: readonly string[]): Columns {
  const find = (name: string, low: number, high: number): Column | undefined => {
    const index = header.indexOf(name);
    if (index !== header.lastIndexOf(name))
      throw wrong("csv-column-twice", 1, `column ${brief(name)} stands there twice.`, "Keep one of them.");
    return index < 0 ? undefined : { name, index, factor: 1, low, high };
  };
  const pressures = pressureColumns(header);
  const [pressure] = pressures;
  const seconds = find("time_s", -LONGEST_s, LONGEST_s);
  const clock = find("time", 0, 0);
  const time = seconds ?? clock;
  if (time === undefined || pressure === undefined) {
    const missing = time === undefined ? "time_s (or time)" : "a pressure column";
    const hint = header.join("").includes(";")
      ? "Separate the columns by commas, and write figures with a point."
      : `The first line names the columns, such as ${LAYOUT}.`;
    throw wrong("csv-header", 1, `the header lacks ${missing}: ${brief(header.join(","))}.`, hint);
  }
  if (pressures.length > 1 || (seconds && clock))
    throw wrong("csv-column-twice", 1, `two columns say ${pressures.length > 1 ? "pressure" : "time"}.`, "Keep one of them.");
  // Thermometers and barometers of a building site; anything outside is another unit or a broken sensor.
  return {
    time: { ...time, clock: seconds === undefined },
    pressure,
    air: find("air_C", -80, 100),
    ambient: find("ambient_Pa", 30_000, 120_000),
  };
}

function readNumber(field: string, column: Column, line: number): number {
  const value = /^[-+.\de]+$/i.test(field) ? Number(field) : Number.NaN;
  if (field === "" || !Number.isFinite(value)) {
    const hint = field.includes(",")
      ? "The decimal sign is a point."
      : "Every row needs a plain number there; leave the row out if the gauge gave none.";
    throw wrong("csv-number", line, `${column.name} is ${field === "" ? "empty" : `${brief(field)}, not a number`}.`, hint);
  }
  const scaled = value * column.factor;
  if (scaled < column.low || scaled > column.high)
    throw wrong(
      "csv-value-absurd",
      line,
      `${column.name} is ${brief(field)}, which no section, gauge or weather gives.`,
      "Check the unit in the column's name, and the row.",
    );
  return scaled;
}

const ISO = /^\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}:\d{2}(\.\d+)?(Z|[+-]\d{2}:?\d{2})?$/;

function readClock(field: string, line: number): number {
  const zoned = /(Z|[+-]\d{2}:?\d{2})$/.test(field) ? field : `${field}Z`;
  const value_ms = ISO.test(field) ? Date.parse(zoned.replace(" ", "T")) : Number.NaN;
  if (Number.isNaN(value_ms))
    throw wrong(
      "csv-time",
      line,
      `time is ${brief(field)}, not an ISO 8601 time.`,
      "Write 2026-11-25T10:15:02.250Z, or seconds in a column time_s.",
    );
  return value_ms / 1000;
}

function fill(rows: readonly string[][], columns: Columns, width: number): Curve {
  const count = rows.length;
  const time_s = new Float64Array(count);
  const pressure_Pa = new Float64Array(count);
  const optional = (column: Column | undefined): Float64Array | null =>
    column !== undefined && rows.some((row) => (row[column.index] ?? "") !== "") ? new Float64Array(count).fill(Number.NaN) : null;
  const air_C = optional(columns.air);
  const ambient_Pa = optional(columns.ambient);
  let origin_s = 0;
  for (const [i, row] of rows.entries()) {
    const line = i + 2;
    if (row.length !== width) {
      const cut = i === count - 1 ? " The file seems to be cut off there." : "";
      throw wrong(
        "csv-fields",
        line,
        `${row.length} field${row.length === 1 ? "" : "s"} where the header names ${width}.${cut}`,
        "Remove or complete that line.",
      );
    }
    const stamp = row[columns.time.index] ?? "";
    const raw_s = columns.time.clock ? readClock(stamp, line) : readNumber(stamp, columns.time, line);
    if (i === 0 && columns.time.clock) origin_s = raw_s;
    time_s[i] = raw_s - origin_s;
    pressure_Pa[i] = readNumber(row[columns.pressure.index] ?? "", columns.pressure, line);
    for (const [column, into] of [[columns.air, air_C] as const, [columns.ambient, ambient_Pa] as const]) {
      const field = column === undefined ? "" : (row[column.index] ?? "");
      if (column !== undefined && into !== null && field !== "") into[i] = readNumber(field, column, line);
    }
  }
  return { time_s, pressure_Pa, air_C, ambient_Pa };
}

/** Reads a recording; every StaunchError (`csv-…`, exit 65) names the line and the column. See `ReadingsFile` for what is left to the judge. */
export function readReadingsCsv(text: string): ReadingsFile {
  refuseUnreadable(text);
  const [header = [], ...body] = splitRows(text);
  const columns = readHeader(header);
  while (body.length > 0 && (body.at(-1) ?? []).join("") === "") body.pop();
  if (body.length === 0) throw wrong("csv-empty", 2, "there is not one reading.", "A recording has a row for every reading.");
  const curve = fill(body, columns, header.length);
  const used = new Set([columns.time, columns.pressure, columns.air, columns.ambient].map((column) => column?.index));
  const unused = header.filter((_, index) => !used.has(index));
  const notes: string[] = [];
  if (unused.length > 0) notes.push(`Columns not used: ${unused.map(brief).join(", ")}.`);
  if (!/[\r\n]$/.test(text)) notes.push("The last line has no line end: the file may have been cut off.");
  return { curve, rows: body.length, columns: [...header], notes };
}

/** The way out, in the same layout; figures only, so that no formula can reach a spreadsheet, and every digit comes back. */
export function writeReadingsCsv(curve: Curve): string {
  const optional = (column: Float64Array | null, i: number): number | string => {
    const value = column === null ? Number.NaN : at(column, i);
    return Number.isNaN(value) ? "" : value;
  };
  const rows = Array.from(curve.time_s, (time_s, i) => [
    time_s,
    at(curve.pressure_Pa, i),
    optional(curve.air_C, i),
    optional(curve.ambient_Pa, i),
  ]);
  return stringify([LAYOUT.split(","), ...rows]);
}
