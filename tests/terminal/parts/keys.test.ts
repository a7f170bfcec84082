import { expect, test } from "vitest";
import { type KeyPress, meaningOf } from "../../../src/terminal/parts/keys.ts";

const plain: KeyPress = { ctrl: false, escape: false, return: false, pageDown: false, downArrow: false };

test.each([
  ["c", { ctrl: true }, "interrupt"],
  ["q", {}, "quit"],
  ["Q", {}, "quit"],
  ["y", {}, "yes"],
  ["n", {}, "no"],
  ["", { escape: true }, "cancel"],
  ["v", {}, "type v"],
  ["-", {}, "type -"],
  ["pumped", {}, "type pumped"],
  ["\u001b[31m", {}, null],
  ["s", {}, "skip-vent"],
  [" ", {}, "page"],
  ["", { pageDown: true }, "page"],
  ["", { downArrow: true }, "page"],
  ["", { return: true }, "enter"],
  ["", { backspace: true }, "erase"],
  ["", { delete: true }, "erase"],
  ["7", {}, "type 7"],
  ["0.35", {}, "type 0.35"],
  ["123456789", {}, "type 123456789"],
  ["9,8", {}, "type 9,8"],
  ["49 49", {}, "type 49 49"],
  ["1".repeat(25), {}, null],
  ["c", {}, "type c"],
  ["q", { ctrl: true }, null],
  ["y", { ctrl: true }, null],
  ["x", {}, "type x"],
  ["", {}, null],
] as const)("%j with %j means %s", (input, key, meaning) => {
  expect(meaningOf(input, { ...plain, ...key })).toBe(meaning);
});
