import { expect, test } from "vitest";
import { type KeyPress, meaningOf } from "../../../src/terminal/parts/keys.ts";

const plain: KeyPress = { ctrl: false, escape: false, return: false, pageDown: false, downArrow: false };

test.each([
  ["c", { ctrl: true }, "interrupt"],
  ["q", {}, "quit"],
  ["Q", {}, "quit"],
  ["y", {}, "yes"],
  ["n", {}, "no"],
  ["", { escape: true }, "no"],
  ["v", {}, null],
  ["s", {}, "skip-vent"],
  [" ", {}, "page"],
  ["", { pageDown: true }, "page"],
  ["", { downArrow: true }, "page"],
  ["", { return: true }, "page"],
  ["c", {}, null],
  ["q", { ctrl: true }, null],
  ["y", { ctrl: true }, null],
  ["x", {}, null],
  ["", {}, null],
] as const)("%j with %j means %s", (input, key, meaning) => {
  expect(meaningOf(input, { ...plain, ...key })).toBe(meaning);
});
