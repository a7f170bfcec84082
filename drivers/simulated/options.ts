/** Reading of the options in a `sim://?…` address; all trouble is wrong usage and names the option. */
import { type StaunchError, usageError } from "../../src/core/errors.ts";

export type Options = Readonly<Record<string, string>>;

/** A value that does not fit, with what would. */
export const refuse = (name: string, text: string, must: string): StaunchError =>
  usageError("simulated-option", `${name}=${JSON.stringify(text)} does not fit a simulated gauge.`, `${name} must be ${must}.`);

/** Plain decimals only: what a person writes into an address. */
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)$/;

export const decimal = (text: string): number => (NUMBER.test(text) ? Number(text) : Number.NaN);

export function number(options: Options, name: string, otherwise: number, low: number, high: number): number {
  const text = options[name];
  if (text === undefined) return otherwise;
  const value = decimal(text);
  if (!(value >= low && value <= high)) throw refuse(name, text, `a number from ${low} to ${high}`);
  return value;
}

/** One of some words; the first when nothing is said. */
export function word<T extends string>(options: Options, name: string, words: readonly [T, ...T[]]): T {
  const text = options[name];
  if (text === undefined) return words[0];
  const found = words.find((one) => one === text);
  if (found === undefined) throw refuse(name, text, `one of ${words.join(", ")}`);
  return found;
}
