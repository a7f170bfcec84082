import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { float64, uint8 } from "../../../src/core/replay/growing.ts";

describe("a growing column", () => {
  it("is a list of numbers, however it was filled", () => {
    fc.assert(
      fc.property(fc.array(fc.array(fc.integer({ min: 0, max: 255 }), { maxLength: 1500 }), { maxLength: 6 }), (parts) => {
        const column = uint8();
        for (const [i, part] of parts.entries()) {
          if (i % 2 === 0) column.append(part);
          else for (const value of part) column.push(value);
        }
        column.trim();
        expect(Array.from(column.slice(0, column.length))).toEqual(parts.flat());
      }),
    );
  });

  it("counts what is at most a value as a search from the front does", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -50, max: 50 })), fc.integer({ min: -60, max: 60 }), (values, wanted) => {
        const column = float64();
        column.append(values.toSorted((a, b) => a - b));
        expect(column.countUpTo(wanted)).toBe(values.filter((value) => value <= wanted).length);
      }),
    );
  });

  it("has nothing outside", () => {
    const column = float64();
    column.push(1);
    expect(() => column.at(1)).toThrow("index 1 outside a column of 1");
    expect(() => column.at(-1)).toThrow(RangeError);
  });
});
