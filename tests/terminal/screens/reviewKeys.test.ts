import { expect, it } from "vitest";
import { pressesOf } from "../../../src/terminal/parts/presses.ts";
import { type ReviewKeyPress, reviewKeyOf } from "../../../src/terminal/screens/reviewKeys.ts";

const plain: ReviewKeyPress = { ctrl: false, escape: false, return: false, pageDown: false, downArrow: false };
const heard = (input: string, key: Partial<ReviewKeyPress> = {}) =>
  pressesOf(input, { ...plain, ...key }).map((press) => reviewKeyOf(...press));

// xterm, ctlseqs, "Bracketed Paste Mode": ESC [ 200 ~ before and ESC [ 201 ~ after; ink hands them over without ESC.
it("hears where a paste begins and ends", () => {
  expect([heard("[200~"), heard("[201~")]).toEqual([["paste-begin"], ["paste-end"]]);
});

it.each([
  ["abc", ["type abc"]],
  ["a\tb\u0007c", ["type a b c"]],
  ["wet\rdry", ["type wet", "enter", "type dry"]],
  ["\u0007", [null]],
  ["", [null]],
])("%j is heard as %j", (input, keys) => {
  expect(heard(input)).toEqual(keys);
});

it("a key held with Ctrl means nothing but the end", () => {
  expect([heard("c", { ctrl: true }), heard("z", { ctrl: true })]).toEqual([["interrupt"], [null]]);
});
