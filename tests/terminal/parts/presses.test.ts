import { expect, it } from "vitest";
import { type KeyPress, meaningOf } from "../../../src/terminal/parts/keys.ts";
import { pressesOf } from "../../../src/terminal/parts/presses.ts";

const plain: KeyPress = { ctrl: false, escape: false, return: false, pageDown: false, downArrow: false };
const meant = (input: string, key: Partial<KeyPress> = {}) => pressesOf(input, { ...plain, ...key }).map((press) => meaningOf(...press));

it.each([
  ["7", ["type 7"]],
  ["49 49\r", ["type 49 49", "enter"]],
  ["98\r\n97\n", ["type 98", "enter", "type 97", "enter"]],
  ["", [null]],
])("%j is pressed as %j", (input, meanings) => expect(meant(input)).toEqual(meanings));

it("leaves single keys as they are", () => expect(meant("", { return: true })).toEqual(["enter"]));
