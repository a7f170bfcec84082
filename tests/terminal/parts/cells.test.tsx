import fc from "fast-check";
import { Box, renderToString, Text } from "ink";
import { describe, expect, test } from "vitest";
import { cellWidth, clip, head, wrap } from "../../../src/terminal/parts/cells.ts";

/** What ink's own layout (string-width) takes for the text: it is set flush right in a box of known width. */
function inkWidth(text: string): number {
  const drawn = renderToString(
    <Box width={40} justifyContent="flex-end">
      <Text>{text}</Text>
    </Box>,
    { columns: 40 },
  );
  return 40 - (drawn.length - drawn.trimStart().length);
}

describe("cells of a text", () => {
  test.each(["S12", "Mühlgasse", "e\u0301cole", "管渠 3", "하수", "Кол-1", "▶ ●×≤ · ±", "[█░]", "⣿⠤", "🚰 main", "Ｗide"])(
    "%s as ink counts them",
    (text) => {
      expect(cellWidth(text)).toBe(inkWidth(text));
    },
  );

  test("a head never splits a wide character", () => {
    expect(head("管渠", 3)).toBe("管");
    expect(head("管渠", 4)).toBe("管渠");
    expect(clip("管渠 long", 6)).toBe("管渠 …");
    expect(clip("short", 6)).toBe("short");
  });
});

describe("wrapping", () => {
  test("by words, and a word too long is broken", () => {
    expect(wrap("nobody in line with a plug", 10)).toEqual(["nobody in", "line with", "a plug"]);
    expect(wrap("abcdefghij", 4)).toEqual(["abcd", "efgh", "ij"]);
    expect(wrap("  ", 4)).toEqual([]);
  });

  test("loses no letter and keeps the width", () => {
    fc.assert(
      fc.property(fc.string({ unit: "grapheme", maxLength: 60 }), fc.integer({ min: 2, max: 20 }), (text, cells) => {
        const lines = wrap(text, cells);
        expect(lines.join("").replace(/\s/g, "")).toBe(text.replace(/\s/g, ""));
        for (const line of lines) expect(cellWidth(line)).toBeLessThanOrEqual(cells);
      }),
    );
  });
});
