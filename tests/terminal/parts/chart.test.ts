import { describe, expect, test } from "vitest";
import { braille } from "../../../src/terminal/parts/chart.ts";
import { addPoints, EMPTY_TRACE } from "../../../src/terminal/parts/trace.ts";

/** A reading each quarter of a second, which is one dot column in these windows. */
const trace = (pressures: readonly number[]) =>
  addPoints(
    EMPTY_TRACE,
    pressures.map((pressure_Pa, i) => ({ at_s: i / 4, pressure_Pa })),
  );

const plot = (columns: number, rows: number, high_Pa: number, line_Pa: number | null = null) => ({
  columns,
  rows,
  from_s: 0,
  to_s: columns / 2,
  low_Pa: 0,
  high_Pa,
  line_Pa,
});

// The pictures are drawn by hand from the dot numbering of the Unicode block "Braille Patterns" (U+2800).
describe("braille curves against pictures drawn by hand", () => {
  test("rising: dots 7, 6, 2, 4", () => {
    expect(braille(plot(2, 1, 3), trace([0, 1, 2, 3]))).toEqual(["⡠⠊"]);
  });

  test("falling: dots 1, 5, 3, 8", () => {
    expect(braille(plot(2, 1, 3), trace([3, 2, 1, 0]))).toEqual(["⠑⢄"]);
  });

  test("level, at the top and at the bottom", () => {
    expect(braille(plot(2, 1, 3), trace([3, 3, 3, 3]))).toEqual(["⠉⠉"]);
    expect(braille(plot(2, 1, 3), trace([0, 0, 0, 0]))).toEqual(["⣀⣀"]);
  });

  test("a jump is joined by a stroke, over two rows, down to the dot beside the one before", () => {
    expect(braille(plot(2, 2, 7), trace([0, 0, 7, 7]))).toEqual([" ⡏", "⣀⠇"]);
  });

  test("a gap in the readings stays a gap", () => {
    const points = [0, 1, 6, 7].map((i) => ({ at_s: i / 4, pressure_Pa: 0 }));
    expect(braille(plot(4, 1, 3), addPoints(EMPTY_TRACE, points))).toEqual(["⣀  ⣀"]);
  });

  test("a limit line is dotted: one dot in four", () => {
    expect(braille(plot(4, 1, 3, 3), trace([]))).toEqual(["⠁ ⠁ "]);
    expect(braille(plot(4, 1, 3, 5), trace([]))).toEqual(["    "]);
  });

  test("what lies beyond the window is not drawn in it; beyond the pressures it is drawn at the rim", () => {
    expect(braille(plot(2, 1, 3), trace([9, 9, 9, 9, 0, 0, 0, 0]))).toEqual(["⠉⠉"]);
  });

  test("an empty window or span draws nothing and does not fall over", () => {
    expect(braille({ ...plot(2, 1, 3), to_s: 0 }, trace([1, 2]))).toEqual(["  "]);
    expect(braille({ ...plot(2, 1, 3), low_Pa: 3 }, trace([1, 2]))).toEqual(["  "]);
  });
});

test("one reading in a hundred thousand is still seen as a peak", () => {
  const points = Array.from({ length: 100_000 }, (_, i) => ({ at_s: i / 10, pressure_Pa: i === 61_803 ? 1000 : 0 }));
  const rows = braille(
    { columns: 60, rows: 4, from_s: 0, to_s: 10_000, low_Pa: 0, high_Pa: 1000, line_Pa: null },
    addPoints(EMPTY_TRACE, points),
  );
  expect(rows[0]?.replaceAll(" ", "")).toHaveLength(1);
  // At 6180 of 10 000 s, so in cell 37 of 60.
  expect([...(rows[0] ?? "")].findIndex((cell) => cell !== " ")).toBe(37);
});
