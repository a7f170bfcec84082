/**
 * One figure as instruments write it: sign, digits, unit beside it, or a word instead of a number.
 *
 *     "-100.2 mbar"   "+ 12.3"   "1.0021E+02"   "OL"   "----"   "NaN"
 *      └ value ┘unit
 */
import { canonicalUnit, unitFactor_Pa } from "../../src/core/units.ts";

export type Figure =
  | { kind: "number"; value: number; suffix: string }
  /** The gauge answered and had no value. */
  | { kind: "status"; status: "overload" | "not-a-number" | "sensor-fault" }
  | { kind: "noise" };

export interface SpokenUnit {
  name: string;
  factor_Pa: number;
}

// Blanks between sign and digits come from fixed-width displays.
const NUMBER = {
  point: /^([+-]?)\s*((?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)\s*(.*)$/i,
  comma: /^([+-]?)\s*((?:\d+,?\d*|,\d+)(?:e[+-]?\d+)?)\s*(.*)$/i,
} as const;
/** A word a unit could be: letters first, then letters, digits and the signs units are written with. */
const UNIT_WORD = /^["″°µμ]?[a-z][a-z0-9₂²./ _-]{0,15}$/i;

// What displays and their serial outputs put in place of a number: common practice, no source.
const OVERLOAD = /^[+-]?(ol|over|overload|overrange|ovr|ofl|hi|lo|inf|infinity)$/i;
const NO_NUMBER = /^([+-]?nan|-{2,}|-{1,}\.-+|_{2,}|n\/?a)?$/i;
const FAULT = /^(err|error|fail|fault)\.?\d*$/i;

/** Reads one field. `decimal` is the sign between whole and part. */
export function readFigure(text: string, decimal: keyof typeof NUMBER): Figure {
  const trimmed = text.trim();
  const match = NUMBER[decimal].exec(trimmed);
  if (match !== null) {
    const value = Number(`${match[1]}${match[2]}`.replace(",", "."));
    const suffix = (match[3] ?? "").trim();
    if (suffix !== "" && !UNIT_WORD.test(suffix)) return { kind: "noise" };
    // Digits without end overflow to infinity: whatever it meant, it is above any range.
    return Number.isFinite(value) ? { kind: "number", value, suffix } : { kind: "status", status: "overload" };
  }
  if (OVERLOAD.test(trimmed)) return { kind: "status", status: "overload" };
  if (NO_NUMBER.test(trimmed)) return { kind: "status", status: "not-a-number" };
  return FAULT.test(trimmed) ? { kind: "status", status: "sensor-fault" } : { kind: "noise" };
}

/** Our name and factor for a unit as spoken; `null` when it is none of ours. */
export function spokenUnit(text: string): SpokenUnit | null {
  const name = canonicalUnit(text);
  const factor_Pa = name === undefined ? undefined : unitFactor_Pa(name);
  return name === undefined || factor_Pa === undefined ? null : { name, factor_Pa };
}

/** `spokenUnit` that remembers the last spelling: a gauge says the same one a million times. */
export function unitMemory(): (text: string) => SpokenUnit | null {
  let spelling: string | null = null;
  let unit: SpokenUnit | null = null;
  return (text) => {
    if (text === spelling) return unit;
    unit = spokenUnit(text);
    spelling = text;
    return unit;
  };
}
