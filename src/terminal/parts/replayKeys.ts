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
  | "page"
  | `type ${string}`;

/** More of ink's key description than a running test looks at. */
export interface ReplayKeyPress extends KeyPress {
  leftArrow?: boolean;
  rightArrow?: boolean;
  home?: boolean;
  end?: boolean;
}

const LETTERS: Readonly<Record<string, ReplayKey>> = {
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
};

/** Signs of a time, one or a few at once as a fast hand or a paste sends them. */
const TIME = /^[\d:.]{1,8}$/;

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

/** The one place where keys of the replay get their meaning; `null` for every other key. */
export function replayKeyOf(input: string, key: ReplayKeyPress): ReplayKey | null {
  if (key.ctrl) return input === "c" ? "close" : null;
  if (TIME.test(input)) return `type ${input}`;
  return named(key) ?? LETTERS[input.toLowerCase()] ?? null;
}
