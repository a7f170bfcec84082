import { describe, expect, test } from "vitest";
import { gapRows } from "../../../src/terminal/parts/histogram.ts";
import { lineWidth } from "../../../src/terminal/parts/line.ts";

const rows = (counts: readonly number[], columns = 80, high = 2): string[] =>
  gapRows(counts, "gaps  ", columns, high).map((line) =>
    line
      .map(({ text }) => text)
      .join("")
      .trimEnd(),
  );

describe("arrival gaps as bars", () => {
  test("heights go with the share, and one gap in a million is still seen over its class", () => {
    const [top = "", foot = "", labels = ""] = rows([0, 0, 0, 0, 0, 1_000_000, 500_000, 0, 0, 0, 1]);
    const class5 = 6 + 5 * 6;
    expect(top.slice(class5, class5 + 3)).toBe("███");
    expect(foot.slice(class5 + 6, class5 + 9)).toBe("███");
    expect(top.slice(class5 + 6).trim()).toBe("");
    expect(foot.slice(6 + 60, 6 + 63)).toBe("▁▁▁");
    expect(labels.slice(class5, class5 + 6).trim()).toBe("<200");
    expect(labels.slice(6 + 60)).toBe("5s+");
  });

  test("no gaps, no bars", () => {
    const [top, foot, labels = ""] = rows(new Array<number>(11).fill(0));
    expect([top, foot]).toEqual(["gaps", ""]);
    expect(labels.startsWith("none")).toBe(true);
  });

  test.each([80, 120, 40, 20])("fit on %d columns", (columns) => {
    for (const line of gapRows([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11], "gaps  ", columns, 3))
      expect(lineWidth(line)).toBeLessThanOrEqual(columns);
  });
});
