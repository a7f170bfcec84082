/** What an escape sequence may look like: string sequences with their text (OSC, DCS, SOS, PM, APC), CSI, and the short ones. ECMA-48 §5.3–5.6. */
const ESCAPES = new RegExp(
  [
    // An unfinished string sequence swallows the rest: showing half of it would show what it hid.
    "(?:\\u001b[\\]PX^_]|[\\u0090\\u0098\\u009d-\\u009f])[^\\u0007\\u001b\\u009c]*(?:\\u0007|\\u001b\\\\|\\u009c|$)",
    "(?:\\u001b\\[|\\u009b)[0-?]*[ -/]*[@-~]?",
    "\\u001b[ -/]*[0-~]?",
  ].join("|"),
  "g",
);

const BREAKS = /[\t\n\v\f\r\u0085\u2028\u2029]+/g;

/**
 * Controls (C0, DEL, C1), marks that reorder or hide text (bidirectional controls, zero-width and tag characters, variation selectors, private use)
 * and unpaired surrogates: Unicode categories Cc, Cf, Co, Cs.
 */
const HIDDEN = /[\p{Cc}\p{Cf}\p{Co}\p{Cs}\u115f\u1160\u3164\uffa0]|\p{Variation_Selector}|\u034f/gu;

/** More marks than this on one letter is not writing but a smear over the lines above. */
const SMEAR = /(\p{M}{3})\p{M}+/gu;

/**
 * Text from outside (a gauge, a file, an archive) made fit to stand on a terminal: one line, no control or hidden characters,
 * at most `longest` characters, the last of them "…" when something was cut off.
 */
export function plainText(outside: string, longest = 200): string {
  // Nobody reads more than this; without the cut a hostile megabyte would be searched four times.
  const head = outside.slice(0, longest * 16);
  const clean = head.replace(BREAKS, " ").replace(ESCAPES, "").replace(HIDDEN, "").replace(SMEAR, "$1").trim();
  const letters = Array.from(clean);
  if (letters.length <= longest && head.length === outside.length) return clean;
  return `${letters.slice(0, Math.max(0, longest - 1)).join("")}…`;
}

/** `value` as one line of JSON in which every hidden or control character is written as an escape: the same data, safe to show. */
export const plainJson = (value: unknown): string =>
  (JSON.stringify(value) ?? "null").replace(/[\p{Cc}\p{Cf}\u2028\u2029]/gu, (hidden) =>
    hidden
      .split("")
      .map((unit) => `\\u${unit.charCodeAt(0).toString(16).padStart(4, "0")}`)
      .join(""),
  );

/** `1 record`, `2 records`. */
export const counted = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`;
