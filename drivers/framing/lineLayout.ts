/** How the lines of a gauge are laid out and asked for, as its address describes them. */
import { usageError } from "../../src/core/errors.ts";
import type { Pace } from "./asking.ts";
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
  terminator: "cr, lf, crlf or any (default any)",
  query: "text that asks for a line; absent: the gauge talks by itself",
  interval: "milliseconds between questions, 10 to 2000 (default 100)",
  timeout: "milliseconds to wait for an answer before asking again, 50 to 2000 (default 1000)",
  airField: "which field is the air temperature in degrees Celsius",
  ambientField: "which field is the atmospheric pressure",
  ambientUnit: "unit of the atmospheric pressure when the line says none",
} as const;

export interface Layout {
  field: number;
  separator: string;
  unit: SpokenUnit | null;
  unitField: number | undefined;
  decimal: "point" | "comma";
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

/** Reads the options; a StaunchError `gauge-option` (64) names the one that does not fit. */
export function layoutOf(options: Options): Layout {
  refuseUnknown(PROTOCOL, OPTIONS, options);
  const field = (name: string) => optionalWhole(PROTOCOL, options, name, 1, 64);
  const decimal = choice(PROTOCOL, options, "decimal", ["point", "comma"], "point");
  const terminator = choice(PROTOCOL, options, "terminator", ["any", "cr", "lf", "crlf"], "any");
  const query = questionOption(PROTOCOL, options, "query");
  return {
    field: field("field") ?? 1,
    separator: separatorOf(options, decimal),
    unit: unitOption(PROTOCOL, options, "unit"),
    unitField: field("unitField"),
    decimal,
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
