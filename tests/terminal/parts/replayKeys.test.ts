import { expect, test } from "vitest";
import { type ReplayKeyPress, replayKeysOf } from "../../../src/terminal/parts/replayKeys.ts";

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
  ["7", {}, "type 7"],
  [":", {}, "type :"],
  [".", {}, "type ."],
  ["", { return: true }, "enter"],
  ["", { backspace: true }, "erase"],
  ["", { delete: true }, "erase"],
  ["", { escape: true }, "escape"],
  ["b", {}, "bytes"],
  ["v", {}, "figures"],
  ["w", {}, "what-if"],
  ["e", {}, "ended"],
  ["", { downArrow: true }, "page"],
  ["q", {}, "close"],
  ["c", { ctrl: true }, "close"],
  ["x", { ctrl: true }, null],
  ["x", {}, null],
  ["\u00e4", {}, null],
])("%j %j is %s", (input, key, meaning) => {
  expect(replayKeysOf(input, { ...NONE, ...key })).toEqual(meaning === null ? null : [meaning]);
});

test.each([
  ["]]]", ["reading-on", "reading-on", "reading-on"]],
  ["g9:10\r", ["go", "type 9", "type :", "type 1", "type 0", "enter"]],
  ["constructor", ["mark-on", "rule", "unfiltered", "rule"]],
  [" \u001b\u0000b", ["play", "bytes"]],
])("several at once, %j", (input, meanings) => {
  expect(replayKeysOf(input, NONE)).toEqual(meanings);
});

test("a paste is not played for ever", () => {
  expect(replayKeysOf("]".repeat(1e6), NONE)).toHaveLength(64);
});
