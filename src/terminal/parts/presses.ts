import type { KeyPress } from "./keys.ts";

/** A fast hand, a busy machine or a paste hand over several keys in one piece, Enter among them: each is its own press. */
export function pressesOf(input: string, key: KeyPress): [input: string, key: KeyPress][] {
  if (input.length < 2 || !/[\r\n]/.test(input)) return [[input, key]];
  return input
    .split(/(\r\n|\r|\n)/)
    .filter((piece) => piece !== "")
    .map((piece) => (/^[\r\n]/.test(piece) ? ["", { ...key, return: true }] : [piece, key]));
}
