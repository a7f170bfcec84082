import { expect, it } from "vitest";
import { agoFrom } from "../../src/core/ago.ts";

it.each([
  ["7d", 604_800_000],
  ["12h", 43_200_000],
  ["0h", 0],
  ["99999d", 99_999 * 86_400_000],
  ["100000d", null],
  ["7", null],
  ["-7d", null],
  ["1.5d", null],
  ["7 d", null],
  ["2026-03-01", null],
  ["", null],
])("%j", (word, ago_ms) => expect(agoFrom(word)).toBe(ago_ms));
