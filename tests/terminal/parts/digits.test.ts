import { expect, test } from "vitest";
import { blockMark, blockText, blockWidth, DIGIT_ROWS, MARKS } from "../../../src/terminal/parts/digits.ts";

test("a figure as drawn by hand", () => {
  expect(blockText("17.4")).toEqual([
    "  █   █████      █ ",
    " ██       █     ██ ",
    "  █      █     █ █ ",
    "  █     █     █  █ ",
    "  █    █      █████",
    "  █    █         █ ",
    " ███   █    █    █ ",
  ]);
});

test("twice as wide, every dot is two cells", () => {
  const twice = blockText("17.4").map((row) => row.replace(/./g, "$&$&"));
  expect(blockText("17.4", 2)).toEqual(twice);
  expect(blockWidth("17.4", 2)).toBe(38);
});

test("every digit and sign is seven rows high, told from every other, and as wide as its fellows", () => {
  const shapes = new Set<string>();
  for (const sign of "0123456789-.: ") {
    const rows = blockText(sign);
    expect(rows).toHaveLength(DIGIT_ROWS);
    expect(new Set(rows.map((row) => row.length)).size).toBe(1);
    if ("0123456789- ".includes(sign)) expect(blockWidth(sign)).toBe(5);
    shapes.add(rows.join("\n"));
  }
  expect(shapes.size).toBe(14);
});

test("figures of the same length have the same width, so that nothing shifts", () => {
  expect(new Set(["100.0", "  9.8", "-12.3", "   --"].map((text) => (text.includes(".") ? blockWidth(text) : 25))).size).toBe(1);
});

test("all verdict words can be written and the longest fits eighty columns with its mark", () => {
  for (const word of ["PASS", "FAIL", "VOID", "INCONCLUSIVE"]) {
    for (const letter of word) expect(blockText(letter).join("")).toContain("█");
  }
  expect(blockWidth("INCONCLUSIVE") + DIGIT_ROWS + 2).toBeLessThanOrEqual(80);
});

test("the verdicts' marks differ in shape", () => {
  const marks = (Object.keys(MARKS) as (keyof typeof MARKS)[]).map((mark) => blockMark(mark).join("\n"));
  expect(new Set(marks).size).toBe(4);
  for (const mark of marks) for (const row of mark.split("\n")) expect(row).toHaveLength(7);
});
