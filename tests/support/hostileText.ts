/** Text made to harm whoever shows it: terminal escapes (ECMA-48), marks that turn text round (UAX #9), spreadsheet formulas, markup. */

const LONG = 1_000_000;

export const HOSTILE: readonly (readonly [what: string, text: string])[] = [
  ["a cleared screen and a colour", "a\u001b[2J\u001b[H\u001b[31mb\u001b["],
  ["a link over other words", "\u001b]8;;http://a.example\u001b\\gotcha\u001b]8;;\u001b\\"],
  ["a text for the clipboard, unfinished", "x\u001b]52;c;Z290Y2hh"],
  ["a device string and a reset", "\u001bP$q\u001b\\x\u001bc"],
  ["eight-bit controls", "a\u009b2J\u009d0;title\u009cb\u0090q\u009c\u0085c"],
  ["text turned round", "S3\u202e4S\u2066x\u2069\u200f\u061c"],
  ["hidden letters", "S\u200b3\ufeff\u2060\u00ad\u{e0041}\u{e007f}\ufe0f\u3164"],
  ["line ends and tabs", "a\r\nfake: line\u2028b\u2029c\tz\u000b\u000c\u0008\u0008"],
  ["an invisible end", "a\u0000b\u007f"],
  ["a formula", '=HYPERLINK("http://a.example","x")'],
  ["a command of a sheet", "+cmd|' /C calc'!A0,@SUM(1+1)*-2"],
  ["markup", "<script>alert(1)</script><b>&amp;`$(x)`"],
  ["half letters", "a\ud800b\udfff"],
  ["a smear", `e${"\u0301\u0489".repeat(400)}`],
  ["a megabyte", "A1 ".repeat(LONG / 3)],
  ["a megabyte of escapes", "\u001b[".repeat(LONG / 2)],
];

/** Controls but line ends, what reorders, hides or tags, private use, half letters, line separators, marks heaped on one letter. */
const HARMFUL = /[^\P{Cc}\n]|[\p{Cf}\p{Co}\p{Cs}\u2028\u2029\u115f\u1160\u3164\uffa0]|\p{Variation_Selector}|\p{M}{4}/gu;

/** What in a text for a terminal would do harm there, with a little of what stands before it. */
export const harmIn = (text: string): string[] =>
  [...text.matchAll(HARMFUL)].slice(0, 5).map((hit) => JSON.stringify(text.slice(Math.max(0, hit.index - 40), hit.index + 8)));

/** Escaped, the same may stand in JSON: one object, nothing raw in it but letters. */
export function harmInJson(text: string): string[] {
  const value: unknown = JSON.parse(text);
  if (typeof value !== "object" || value === null || Array.isArray(value)) return ["no object"];
  return [...text.trimEnd().matchAll(/[\p{Cc}\p{Cf}\p{Cs}\u2028\u2029]/gu)]
    .slice(0, 5)
    .map((hit) => JSON.stringify(text.slice(Math.max(0, hit.index - 40), hit.index + 8)));
}
