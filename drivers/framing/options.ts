/** A driver's options out of its gauge's address; whatever does not fit is refused by name before a port is opened. */
import { usageError } from "../../src/core/errors.ts";
import { UNIT_NAMES } from "../../src/core/units.ts";
import { type SpokenUnit, spokenUnit } from "./figure.ts";

export type Options = Readonly<Record<string, string>>;

const refuse = (protocol: string, name: string, text: string, must: string) =>
  usageError("gauge-option", `${name}=${JSON.stringify(text)} does not fit protocol ${protocol}.`, `${name} ${must}.`);

/** Refuses options that the driver does not list. */
export function refuseUnknown(protocol: string, known: Options, options: Options): void {
  for (const name of Object.keys(options))
    if (!Object.hasOwn(known, name))
      throw usageError(
        "gauge-option",
        `Protocol ${protocol} has no option ${JSON.stringify(name)}.`,
        `Its options are ${Object.keys(known).join(", ")}.`,
      );
}

export function optionalWhole(protocol: string, options: Options, name: string, low: number, high: number): number | undefined {
  const text = options[name];
  if (text === undefined) return undefined;
  const value = /^\d{1,9}$/.test(text) ? Number(text) : Number.NaN;
  if (!(value >= low && value <= high)) throw refuse(protocol, name, text, `must be a whole number from ${low} to ${high}`);
  return value;
}

export function choice<T extends string>(protocol: string, options: Options, name: string, words: readonly T[], otherwise: T): T {
  const text = options[name];
  if (text === undefined) return otherwise;
  const word = words.find((one) => one === text);
  if (word === undefined) throw refuse(protocol, name, text, `must be one of ${words.join(", ")}`);
  return word;
}

/** The unit an option names; `null` when it is not given. */
export function unitOption(protocol: string, options: Options, name: string): SpokenUnit | null {
  const text = options[name];
  if (text === undefined) return null;
  const unit = spokenUnit(text);
  if (unit === null) throw refuse(protocol, name, text, `must be one of ${UNIT_NAMES.join(", ")}`);
  return unit;
}

/** Text to be sent, which must be printable and not empty. */
export function questionOption(protocol: string, options: Options, name: string): string | undefined {
  const text = options[name];
  if (text !== undefined && !/^[\x20-\x7e]{1,200}$/.test(text))
    throw refuse(protocol, name, text, "must be 1 to 200 printable ASCII characters");
  return text;
}

/** A plain decimal, such as 0.1 or -2. */
export function optionalDecimal(protocol: string, options: Options, name: string, most: number): number | undefined {
  const text = options[name];
  if (text === undefined) return undefined;
  const value = /^[+-]?(\d+\.?\d*|\.\d+)$/.test(text) ? Number(text) : Number.NaN;
  if (!(Math.abs(value) <= most)) throw refuse(protocol, name, text, `must be a number such as 0.1, at most ${most}`);
  return value;
}

/** Refuses an address that leaves out what the driver must not guess. */
export function required<T>(protocol: string, name: string, value: T | null | undefined, example: string): T {
  if (value !== null && value !== undefined) return value;
  throw usageError(
    "gauge-option",
    `Protocol ${protocol} needs the option ${name}.`,
    `Add it as the gauge's manual says, such as ${example}.`,
  );
}
