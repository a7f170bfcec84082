import { expect, it } from "vitest";
import { saidBy } from "../../../src/core/review/sayings.ts";

it.each([
  ["accept", "both ends seen", "accepted by M. Reed: both ends seen"],
  ["return", "the hose was wet", "sent back by M. Reed: the hose was wet"],
  ["note", "photo 7", "noted by M. Reed: photo 7"],
  ["accept", "", "accepted by M. Reed"],
] as const)("a review (%s, %j) reads alike wherever it is shown", (word, reason, text) => {
  expect(saidBy({ word, by: "M. Reed", reason })).toBe(text);
});

it("shows a stranger's name and reason as plain text", () => {
  expect(saidBy({ word: "note", by: "M.\u001b[2J Reed", reason: "wet\nhose\u202e" })).toBe("noted by M. Reed: wet hose");
});
