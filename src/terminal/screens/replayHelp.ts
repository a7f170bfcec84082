import { wrap } from "../parts/cells.ts";
import { type Line, plainLine } from "../parts/line.ts";

const KEYS: readonly (readonly [key: string, does: string])[] = [
  ["space", "play, pause"],
  ["+ -", "faster, slower: ×1 to ×1000"],
  ["← →", "a second back, on"],
  ["[ ]", "a reading back, on"],
  ["p n", "an event back, on"],
  ["Home End", "to the ends"],
  ["g", "to a time: 90, 1:30, 1:02:03"],
  ["↓", "next page"],
  ["b", "bytes and their readings"],
  ["v", "figures: recorded, now"],
  ["r", "what if: the other rule"],
  ["u", "what if: spikes left in"],
  ["w", "as recorded, or what if"],
  ["e", "the verdict, stopped here"],
  ["?", "these keys"],
  ["q", "leave"],
];

/** Signs of the bar, for people. */
export const LEGEND = "I C S T H V phase · ! alarm · ? asked · + topped up · ○ × line · k key · 0 zero · ■ end";

const TOLD = [
  `On the bar: ${LEGEND}.`,
  "Figures: = as recorded, to six digits; ≠ other than recorded; … behind it: still moving. Nothing done here changes a record.",
];

const TWO_COLUMNS = 76;
const KEY = 10;

/** All keys, in two columns where they fit, and what the signs mean. */
export function helpRows(columns: number): Line[] {
  const half = Math.floor(columns / 2);
  const told = KEYS.map(([key, does]) => ` ${key.padEnd(KEY)}${does}`);
  const middle = Math.ceil(told.length / 2);
  const keys =
    columns < TWO_COLUMNS ? told : told.slice(0, middle).map((text, i) => `${text.padEnd(half)}${told[middle + i] ?? ""}`.trimEnd());
  const below = TOLD.flatMap((text) => wrap(text, columns - 2).map((row) => ` ${row}`));
  const rows = ["", ...keys, "", ...below, "", " ? closes this."].map((text) => plainLine(text));
  return [plainLine(" KEYS OF THE REPLAY".padEnd(columns), { inverse: true }), ...rows];
}
