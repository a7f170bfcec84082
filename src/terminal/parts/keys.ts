/** What a key means on the test screen, before the screen's state decides what comes of it. */
export type KeyMeaning = "interrupt" | "quit" | "yes" | "no" | "skip-vent" | "page";

/** The part of ink's key description we look at. */
export interface KeyPress {
  ctrl: boolean;
  escape: boolean;
  return: boolean;
  pageDown: boolean;
  downArrow: boolean;
}

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
  if (key.escape) return "no";
  if (key.pageDown || key.downArrow || key.return) return "page";
  return LETTERS[input.toLowerCase()] ?? null;
}
