/** What a key means on the test screen, before the screen's state decides what comes of it. */
export type KeyMeaning = "interrupt" | "quit" | "yes" | "no" | "cancel" | "skip-vent" | "page" | "enter" | "erase" | `type ${string}`;

/** The part of ink's key description we look at. */
export interface KeyPress {
  ctrl: boolean;
  escape: boolean;
  return: boolean;
  pageDown: boolean;
  downArrow: boolean;
  backspace?: boolean;
  delete?: boolean;
}

/**
 * Keys of a figure or a word, one or a few at once as a fast hand or a paste sends them. The comma too, so that it can be complained of: left
 * out, 9,8 would be 98.
 */
const TYPED = /^[\w.,+\-/ ]{1,24}$/;

const LETTERS: Readonly<Record<string, KeyMeaning>> = {
  q: "quit",
  y: "yes",
  n: "no",
  s: "skip-vent",
  " ": "page",
};

/** The one place where keys get their meaning; `null` for every other key. */
export function meaningOf(input: string, key: KeyPress): KeyMeaning | null {
  if (key.ctrl) return input === "c" ? "interrupt" : null;
  if (key.escape) return "cancel";
  if (key.pageDown || key.downArrow) return "page";
  if (key.return) return "enter";
  if (key.backspace || key.delete) return "erase";
  return LETTERS[input.toLowerCase()] ?? (TYPED.test(input) ? `type ${input}` : null);
}
