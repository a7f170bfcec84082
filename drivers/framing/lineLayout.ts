/** How the lines of a gauge are laid out and asked for, as its address describes them. */
import { usageError } from "../../src/core/errors.ts";
import type { Pace } from "./asking.ts";
import { CHECKSUM_PLACES, CHECKSUMS, type ChecksumKind, type ChecksumPlace } from "./checksum.ts";
import type { SpokenUnit } from "./figure.ts";
import { TERMINATORS, type Terminator } from "./lines.ts";
import { choice, type Options, optionalWhole, questionOption, refuseUnknown, unitOption } from "./options.ts";

export const PROTOCOL = "line";
const SEPARATORS = {
  comma: ",",
  semicolon: ";",
  tab: "\t",
  space: " ",
} as const;

export const OPTIONS = {
  field: "which field is the pressure, counted from 1 (default 1)",
  separator: "comma, semicolon, tab, space or one character (default comma, semicolon with decimal=comma)",
  unit: "unit when the line says none",
  unitField: "which field names the unit",
  decimal: "point or comma (default point)",
  signField: "which field holds the sign, where it stands apart: + or pos, - or vac",
  negative: "words in signField that mean below atmosphere, parted by commas; all others then mean above",
  sign: "plain, or reversed for a gauge that counts vacuum upwards (default plain)",
  statusField: "which field holds a status letter",
  status: "what status letters mean, such as OL:overload,E:sensor-fault,A:ok; they may also stand in place of a figure or beside it",
  checksum:
    "none, xor, sum (eight bits) or crc16 in hexadecimal digits at the line's end; a line with a wrong one is not used (default none)",
  checksumPlace: "star: after the last *, a leading $ or ! not covered; end: the last two digits, four with crc16 (default star)",
  reference: "vented or absolute: what the pressure stands on (default vented)",
  terminator: "cr, lf, crlf or any (default any)",
  query: "text that asks for a line; absent: the gauge talks by itself",
  interval: "milliseconds between questions, 10 to 2000 (default 100)",
  timeout: "milliseconds to wait for an answer before asking again, 50 to 2000 (default 1000)",
  airField: "which field is the air temperature in degrees Celsius",
  ambientField: "which field is the atmospheric pressure",
  ambientUnit: "unit of the atmospheric pressure when the line says none",
} as const;

const STATUSES = ["ok", "overload", "not-a-number", "sensor-fault"] as const;
type Status = (typeof STATUSES)[number];

export interface Layout {
  field: number;
  separator: string;
  unit: SpokenUnit | null;
  unitField: number | undefined;
  decimal: "point" | "comma";
  signField: number | undefined;
  /** Words for below atmosphere; `null`: the usual ones. */
  negative: readonly string[] | null;
  reversed: boolean;
  statusField: number | undefined;
  statusWords: ReadonlyMap<string, Status>;
  checksum: ChecksumKind;
  checksumPlace: ChecksumPlace;
  reference: "vented" | "absolute";
  terminator: Terminator;
  question: Uint8Array | undefined;
  pace: Pace;
  airField: number | undefined;
  ambientField: number | undefined;
  ambientUnit: SpokenUnit | null;
}

function separatorOf(options: Options, decimal: "point" | "comma"): string {
  const text = options["separator"] ?? (decimal === "comma" ? "semicolon" : "comma");
  const separator = Object.entries(SEPARATORS).find(([name]) => name === text)?.[1] ?? text;
  if (!/^[\t\x20-\x7e]$/.test(separator) || /[\w.+-]/.test(separator) || (decimal === "comma" && separator === ","))
    throw usageError(
      "gauge-option",
      `separator=${JSON.stringify(text)} cannot part fields of protocol ${PROTOCOL}.`,
      "Use comma, semicolon, tab, space or one sign that is no part of a number; with decimal=comma not comma.",
    );
  return separator;
}

const misfit = (name: string, text: string, hint: string) =>
  usageError("gauge-option", `${name}=${JSON.stringify(text)} does not fit protocol ${PROTOCOL}.`, hint);

/** `OL:overload,E:sensor-fault` as a table. */
function statusWordsOf(options: Options): ReadonlyMap<string, Status> {
  const text = options["status"];
  const words = new Map<string, Status>();
  if (text === undefined) return words;
  for (const part of text.split(",")) {
    const [, word, meaning] = /^\s*([\x21-\x2b\x2d-\x7e]{1,16}):([a-z-]+)\s*$/.exec(part) ?? [];
    const status = STATUSES.find((one) => one === meaning);
    if (word === undefined || status === undefined || words.size >= 64)
      throw misfit("status", text, `status is a list such as OL:overload,E:sensor-fault; the meanings are ${STATUSES.join(", ")}.`);
    words.set(word, status);
  }
  return words;
}

function negativeOf(options: Options, signField: number | undefined): readonly string[] | null {
  const text = options["negative"];
  if (text === undefined) return null;
  if (signField === undefined || !/^[\x20-\x7e]{1,100}$/.test(text))
    throw misfit("negative", text, "negative is a list such as -,VAC and goes with signField.");
  return text.split(",").map((word) => word.trim());
}

/** Reads the options; a StaunchError `gauge-option` (64) names the one that does not fit. */
export function layoutOf(options: Options): Layout {
  refuseUnknown(PROTOCOL, OPTIONS, options);
  const field = (name: string) => optionalWhole(PROTOCOL, options, name, 1, 64);
  const decimal = choice(PROTOCOL, options, "decimal", ["point", "comma"], "point");
  const terminator = choice(PROTOCOL, options, "terminator", ["any", "cr", "lf", "crlf"], "any");
  const checksum = choice(PROTOCOL, options, "checksum", CHECKSUMS, "none");
  const signField = field("signField");
  const statusField = field("statusField");
  if (statusField !== undefined && options["status"] === undefined)
    throw misfit("statusField", String(statusField), "statusField goes with status, such as status=OL:overload,E:sensor-fault.");
  const query = questionOption(PROTOCOL, options, "query");
  return {
    field: field("field") ?? 1,
    separator: separatorOf(options, decimal),
    unit: unitOption(PROTOCOL, options, "unit"),
    unitField: field("unitField"),
    decimal,
    signField,
    negative: negativeOf(options, signField),
    reversed: choice(PROTOCOL, options, "sign", ["plain", "reversed"], "plain") === "reversed",
    statusField,
    statusWords: statusWordsOf(options),
    checksum,
    checksumPlace: choice(PROTOCOL, options, "checksumPlace", CHECKSUM_PLACES, "star"),
    reference: choice(PROTOCOL, options, "reference", ["vented", "absolute"], "vented"),
    terminator,
    question: query === undefined ? undefined : new TextEncoder().encode(query + TERMINATORS[terminator]),
    pace: {
      interval_ms: optionalWhole(PROTOCOL, options, "interval", 10, 2000) ?? 100,
      timeout_ms: optionalWhole(PROTOCOL, options, "timeout", 50, 2000) ?? 1000,
    },
    airField: field("airField"),
    ambientField: field("ambientField"),
    ambientUnit: unitOption(PROTOCOL, options, "ambientUnit"),
  };
}
