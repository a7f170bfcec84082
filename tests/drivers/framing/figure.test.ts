import fc from "fast-check";
import { expect, test } from "vitest";
import { readFigure, spokenUnit, unitMemory } from "../../../drivers/framing/figure.ts";

// Reference: the number formats NR1, NR2 and NR3 of ISO 6093, as the platform's own printers write them.
test("a printed number reads back as itself", () => {
  fc.assert(
    fc.property(
      fc.double({ noNaN: true, noDefaultInfinity: true, min: -1e15, max: 1e15 }),
      fc.integer({ min: 0, max: 17 }),
      (value, digits) => {
        for (const text of [String(value), value.toExponential(digits), value.toExponential(digits).toUpperCase()]) {
          expect(readFigure(text, "point")).toEqual({ kind: "number", value: Number(text), suffix: "" });
          expect(readFigure(text.replace(".", ","), "comma")).toEqual({ kind: "number", value: Number(text), suffix: "" });
        }
      },
    ),
  );
});

test.each([
  ["  +0100.20  ", 100.2, ""],
  ["- 12.3", -12.3, ""],
  [".5", 0.5, ""],
  ["7.", 7, ""],
  ["100.2mbar", 100.2, "mbar"],
  ["1.5 in Hg", 1.5, "in Hg"],
  ['4 "H2O', 4, '"H2O'],
  ["21.5 °C", 21.5, "°C"],
])("%j is a number with its unit", (text, value, suffix) => expect(readFigure(text, "point")).toEqual({ kind: "number", value, suffix }));

test.each(["", "12.3.4", "1 2", "1,5", "abc", "=5", "12#", "--5", "5 \u001b[2J"])("%j gives no number", (text) =>
  expect(readFigure(text, "point").kind).not.toBe("number"),
);

test("a point is no decimal comma", () => expect(readFigure("1.234", "comma").kind).toBe("noise"));
test("endless digits are an overload, not infinity", () =>
  expect(readFigure("9".repeat(400), "point")).toEqual({ kind: "status", status: "overload" }));

test("units are ours by whatever spelling, and remembered by spelling", () => {
  const memory = unitMemory();
  expect([memory("MBAR")?.name, memory("mbar")?.name, memory("furlong"), memory("mbar")?.factor_Pa]).toEqual(["mbar", "mbar", null, 100]);
  expect(spokenUnit("mm H2O")).toEqual({ name: "mmH2O", factor_Pa: 9.80665 });
});
