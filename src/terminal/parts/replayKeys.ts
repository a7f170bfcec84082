import type { KeyPress } from "./keys.ts";

/** What a key means on the replay screen. */
export type ReplayKey =
  | "close"
  | "play"
  | "second-back"
  | "second-on"
  | "reading-back"
  | "reading-on"
  | "mark-back"
  | "mark-on"
  | "faster"
  | "slower"
  | "home"
  | "end"
  | "go"
  | "enter"
  | "erase"
  | "escape"
  | "bytes"
  | "figures"
  | "what-if"
  | "rule"
  | "unfiltered"
  | "help"
  | "ended"
  | "page"
  | `type ${string}`;

/** More of ink's key description than a running test looks at. */
export interface ReplayKeyPress extends KeyPress {
  leftArrow?: boolean;
  rightArrow?: boolean;
  home?: boolean;
  end?: boolean;
}

const LETTERS: Readonly<Record<string, ReplayKey | undefined>> = {
  q: "close",
  " ": "play",
  "[": "reading-back",
  "]": "reading-on",
  p: "mark-back",
  n: "mark-on",
  "+": "faster",
  "=": "faster",
  "-": "slower",
  g: "go",
  b: "bytes",
  v: "figures",
  w: "what-if",
  r: "rule",
  u: "unfiltered",
  e: "ended",
  "?": "help",
  "\r": "enter",
};

function named(key: ReplayKeyPress): ReplayKey | null {
  if (key.escape) return "escape";
  if (key.return) return "enter";
  if (key.backspace || key.delete) return "erase";
  if (key.leftArrow) return "second-back";
  if (key.rightArrow) return "second-on";
  if (key.home) return "home";
  if (key.end) return "end";
  return key.pageDown || key.downArrow ? "page" : null;
}

const ofSign = (sign: string): ReplayKey | null => (/[\d:.]/.test(sign) ? `type ${sign}` : (LETTERS[sign.toLowerCase()] ?? null));

/**
 * The one place where keys of the replay get their meaning, in order; `null` when there is none. A key held down, a fast hand and a paste
 * come as several signs at once.
 */
export function replayKeysOf(input: string, key: ReplayKeyPress): readonly ReplayKey[] | null {
  if (key.ctrl) return input === "c" ? ["close"] : null;
  const one = named(key);
  if (one !== null) return [one];
  const meant = Array.from(input.slice(0, MOST_SIGNS), ofSign).filter((meaning) => meaning !== null);
  return meant.length > 0 ? meant : null;
}

/** More at once is no hand. */
const MOST_SIGNS = 64;
