import { expect, test } from "vitest";
import { type ReplayKeyPress, replayKeyOf } from "../../../src/terminal/parts/replayKeys.ts";

const NONE: ReplayKeyPress = { ctrl: false, escape: false, return: false, pageDown: false, downArrow: false };

test.each<[string, Partial<ReplayKeyPress>, string | null]>([
  [" ", {}, "play"],
  ["", { leftArrow: true }, "second-back"],
  ["", { rightArrow: true }, "second-on"],
  ["[", {}, "reading-back"],
  ["]", {}, "reading-on"],
  ["p", {}, "mark-back"],
  ["N", {}, "mark-on"],
  ["+", {}, "faster"],
  ["=", {}, "faster"],
  ["-", {}, "slower"],
  ["", { home: true }, "home"],
  ["", { end: true }, "end"],
  ["g", {}, "go"],
  ["1:3", {}, "type 1:3"],
  ["", { return: true }, "enter"],
  ["", { backspace: true }, "erase"],
  ["", { delete: true }, "erase"],
  ["", { escape: true }, "escape"],
  ["b", {}, "bytes"],
  ["v", {}, "figures"],
  ["w", {}, "what-if"],
  ["", { downArrow: true }, "page"],
  ["q", {}, "close"],
  ["c", { ctrl: true }, "close"],
  ["x", { ctrl: true }, null],
  ["x", {}, null],
  ["constructor", {}, null],
])("%j %j is %s", (input, key, meaning) => {
  expect(replayKeyOf(input, { ...NONE, ...key })).toBe(meaning);
});
