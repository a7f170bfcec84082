import type { KeyPress } from "../parts/keys.ts";

/** Keys as the review hears them; what one means depends on the page. */
export type ReviewKey =
  | "interrupt"
  /** What a terminal puts round pasted text once it is asked to (xterm's bracketed paste, private mode 2004). */
  | "paste-begin"
  | "paste-end"
  | "enter"
  | "escape"
  | "erase"
  | "tab"
  | "up"
  | "down"
  | "left"
  | "right"
  | "page-up"
  | "page-down"
  | "home"
  | "end"
  | `type ${string}`;

/** More of ink's key description than a running test looks at. */
export interface ReviewKeyPress extends KeyPress {
  tab?: boolean;
  upArrow?: boolean;
  leftArrow?: boolean;
  rightArrow?: boolean;
  pageUp?: boolean;
  home?: boolean;
  end?: boolean;
}

function named(key: ReviewKeyPress): ReviewKey | null {
  if (key.escape) return "escape";
  if (key.return) return "enter";
  if (key.tab) return "tab";
  if (key.backspace || key.delete) return "erase";
  if (key.upArrow) return "up";
  if (key.downArrow) return "down";
  if (key.leftArrow) return "left";
  if (key.rightArrow) return "right";
  if (key.pageUp) return "page-up";
  if (key.pageDown) return "page-down";
  if (key.home) return "home";
  return key.end ? "end" : null;
}

/** Ink hands these over without the escape they begin with. */
const PASTES: Readonly<Record<string, ReviewKey>> = { "[200~": "paste-begin", "[201~": "paste-end" };

/** The one place where keys of the review get their meaning; `null` for every other key. A paste comes in a few texts, a long one in pieces. */
export function reviewKeyOf(input: string, key: ReviewKeyPress): ReviewKey | null {
  if (key.ctrl) return input === "c" ? "interrupt" : null;
  const name = named(key);
  if (name !== null) return name;
  const paste = PASTES[input];
  if (paste !== undefined) return paste;
  const text = input.replaceAll(/\p{Cc}+/gu, input.length > 1 ? " " : "");
  return text === "" ? null : `type ${text}`;
}
