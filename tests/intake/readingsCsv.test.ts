import { readdirSync, readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isStaunchError } from "../../src/core/errors.ts";
import { readReadingsCsv, writeReadingsCsv } from "../../src/intake/readingsCsv.ts";
import { errorOf } from "../support/errors.ts";

const CURVES = fileURLToPath(new URL("../../fixtures/curves", import.meta.url));
const csv = (...lines: readonly string[]): string => `${lines.join("\n")}\n`;
const columns = (text: string) => {
  const { curve } = readReadingsCsv(text);
  return {
    time_s: [...curve.time_s],
    pressure_Pa: [...curve.pressure_Pa],
    air_C: curve.air_C && [...curve.air_C],
    ambient_Pa: curve.ambient_Pa && [...curve.ambient_Pa],
  };
};

describe("readReadingsCsv", () => {
  it("reads the whole layout, empty optional fields as not measured", () => {
    const text = csv("time_s,pressure_Pa,air_C,ambient_Pa", "0,1000,12.5,101325", "1.5,999.5,,101326");
    expect(columns(text)).toEqual({
      time_s: [0, 1.5],
      pressure_Pa: [1000, 999.5],
      air_C: [12.5, Number.NaN],
      ambient_Pa: [101325, 101326],
    });
    expect(readReadingsCsv(text)).toMatchObject({ rows: 2, columns: ["time_s", "pressure_Pa", "air_C", "ambient_Pa"], notes: [] });
  });

  it("knows no temperature or barometer when the columns are absent or empty", () => {
    expect(columns(csv("time_s,pressure_Pa", "0,1000"))).toMatchObject({ air_C: null, ambient_Pa: null });
    expect(columns(csv("time_s,pressure_Pa,air_C,ambient_Pa", "0,1000,,"))).toMatchObject({ air_C: null, ambient_Pa: null });
  });

  it.each([
    ["pressure_mmH2O", 980.665],
    ["pressure_mbar", 10_000],
    ["pressure_kPa", 100_000],
    ["pressure_psi", 689_475.7293168361],
    ["pressure_inHg", 338_638.8640341],
    ["pressure_inH2O", 24_908.891],
    ["pressure_hPa", 10_000],
  ])("turns %s into pascal", (name, pascal) => {
    expect(columns(csv(`time_s,${name}`, "0,100")).pressure_Pa[0]).toBeCloseTo(pascal, 6);
  });

  it("counts clock times from the first row, across time zones and without one", () => {
    const zoned = csv("time,pressure_Pa", "2026-11-25T10:00:00Z,1", "2026-11-25T11:00:00.250+01:00,2", "2026-11-25T10:00:02.5Z,3");
    expect(columns(zoned).time_s).toEqual([0, 0.25, 2.5]);
    expect(columns(csv("time,pressure_Pa", "2026-11-25 10:00:00,1", "2026-11-25 10:00:01.5,2")).time_s).toEqual([0, 1.5]);
  });

  it("keeps file order when time runs backwards or stands still: that is the judge's business", () => {
    expect(columns(csv("time_s,pressure_Pa", "5,1", "3,2", "3,4", "-1,5")).time_s).toEqual([5, 3, 3, -1]);
  });

  it("takes a byte order mark, CR LF, blanks round figures, columns in any order and a vacuum", () => {
    expect(columns("\uFEFFpressure_kPa , time_s\r\n -34 , 0\r\n").pressure_Pa).toEqual([-34_000]);
  });

  it("notes what it left out and an end without a line end", () => {
    const { notes } = readReadingsCsv("time_s,pressure_Pa,who\n0,1,me");
    expect(notes).toEqual(['Columns not used: "who".', "The last line has no line end: the file may have been cut off."]);
  });

  it.each([
    ["an empty file", "", "csv-empty", /empty/],
    ["only blanks", " \n\n", "csv-empty", /empty/],
    ["a header alone", csv("time_s,pressure_Pa"), "csv-empty", /Line 2/],
    ["a binary file", "\u0000\u0001PNG\uFFFD", "csv-binary", /not a text file/],
    ["another table", csv("name,age", "x,3"), "csv-header", /Line 1.*time_s/],
    ["semicolons", csv("time_s;pressure_Pa", "0;1"), "csv-header", /Line 1/],
    ["no pressure", csv("time_s,air_C", "0,1"), "csv-header", /Line 1.*pressure/],
    ["a wrong unit", csv("time_s,pressure_furlong", "0,1"), "csv-unit", /Line 1.*pressure_furlong/],
    ["no unit", csv("time_s,pressure", "0,1"), "csv-unit", /Line 1.*pressure/],
    ["two pressures", csv("time_s,pressure_Pa,pressure_mbar", "0,1,1"), "csv-column-twice", /Line 1/],
    ["time twice", csv("time_s,time,pressure_Pa", "0,1,1"), "csv-column-twice", /Line 1/],
    ["a column twice", csv("time_s,pressure_Pa,air_C,air_C", "0,1,1,1"), "csv-column-twice", /air_C/],
    ["not a number", csv("time_s,pressure_Pa", "0,1", "1,NaN"), "csv-number", /Line 3.*pressure_Pa.*NaN/],
    ["infinity", csv("time_s,pressure_Pa", "0,Infinity"), "csv-number", /Line 2.*Infinity/],
    ["hexadecimal", csv("time_s,pressure_Pa", "0,0x10"), "csv-number", /Line 2/],
    ["an empty pressure", csv("time_s,pressure_Pa", "0,1", "1,"), "csv-number", /Line 3.*pressure_Pa is empty/],
    ["an empty time", csv("time_s,pressure_Pa", ",1"), "csv-number", /Line 2.*time_s is empty/],
    ["an absurd pressure", csv("time_s,pressure_Pa", "0,1", "1,1e9"), "csv-value-absurd", /Line 3.*1e9/],
    ["an absurd temperature", csv("time_s,pressure_Pa,air_C", "0,1,288"), "csv-value-absurd", /Line 2.*air_C/],
    ["a barometer in hPa", csv("time_s,pressure_Pa,ambient_Pa", "0,1,1013"), "csv-value-absurd", /Line 2.*ambient_Pa/],
    ["clock time as seconds", csv("time_s,pressure_Pa", "1764061200,1"), "csv-value-absurd", /Line 2.*time_s/],
    ["a time of no standard", csv("time,pressure_Pa", "25/11/2026 10:00,1"), "csv-time", /Line 2.*25\/11/],
    ["a date that is none", csv("time,pressure_Pa", "2026-13-45T10:00:00Z,1"), "csv-time", /Line 2/],
    ["a truncated last line", "time_s,pressure_Pa,air_C\n0,1,2\n1,9", "csv-fields", /Line 3.*2 fields.*3.*cut off/],
    ["an empty line in the middle", csv("time_s,pressure_Pa", "0,1", "", "1,2"), "csv-fields", /Line 3/],
    ["too many fields", csv("time_s,pressure_Pa", "0,1,2"), "csv-fields", /Line 2.*3 fields/],
    ["an open quote", csv("time_s,pressure_Pa", '0,"1'), "csv-broken", /Line 2/],
  ])("refuses %s", (_, text, code, sentence) => {
    const error = errorOf(() => readReadingsCsv(text));
    expect({ code: error.code, exit: error.exit }).toEqual({ code, exit: 65 });
    expect(error.message).toMatch(sentence);
    expect(error.hint).not.toBe("");
  });

  it("reads a file or refuses it with an exit code, whatever bytes come", () => {
    const outcome = (text: string): boolean => {
      try {
        return readReadingsCsv(text).rows > 0;
      } catch (error) {
        return isStaunchError(error) && error.exit === 65;
      }
    };
    fc.assert(fc.property(fc.string({ unit: "binary", maxLength: 200 }), outcome));
    fc.assert(fc.property(fc.string({ maxLength: 60 }), (tail) => outcome(`time_s,pressure_Pa\n0,1\n${tail}`)));
  });
});

describe("every simulated curve", () => {
  const files = readdirSync(CURVES).filter((name) => name.endsWith(".csv"));

  it("is there", () => {
    expect(files).toHaveLength(81);
  });

  it.each(files)("%s is read whole", (name) => {
    const text = readFileSync(`${CURVES}/${name}`, "utf8");
    const { rows, notes, curve } = readReadingsCsv(text);
    expect(rows).toBe(text.trimEnd().split("\n").length - 1);
    expect(notes).toEqual([]);
    expect(curve.time_s).toHaveLength(rows);
  });
});

describe("writeReadingsCsv", () => {
  const value = fc.double({ min: -99_999, max: 99_999, noNaN: true });
  const air = fc.oneof(fc.constant(Number.NaN), fc.double({ min: -40, max: 60, noNaN: true }));
  const row = fc.tuple(value, value, air);

  it("writes what is read back to the last digit", () => {
    fc.assert(
      fc.property(fc.array(row, { minLength: 1, maxLength: 30 }), (rows) => {
        const curve = {
          time_s: Float64Array.from(rows, ([time_s]) => time_s + 0),
          pressure_Pa: Float64Array.from(rows, ([, pressure_Pa]) => pressure_Pa + 0),
          air_C: rows.some(([, , air_C]) => !Number.isNaN(air_C)) ? Float64Array.from(rows, ([, , air_C]) => air_C + 0) : null,
          ambient_Pa: null,
        };
        expect(readReadingsCsv(writeReadingsCsv(curve)).curve).toEqual(curve);
      }),
    );
  });

  it("writes nothing but figures, so that no spreadsheet finds a formula", () => {
    const curve = {
      time_s: Float64Array.of(0, 1e-9),
      pressure_Pa: Float64Array.of(-34_000, 1e21),
      air_C: Float64Array.of(Number.NaN, 3),
      ambient_Pa: null,
    };
    expect(writeReadingsCsv(curve)).toBe("time_s,pressure_Pa,air_C,ambient_Pa\n0,-34000,,\n1e-9,1e+21,3,\n");
  });
});
