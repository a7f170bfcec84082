import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { line } from "../../drivers/line.ts";
import { isStaunchError } from "../../src/core/errors.ts";
import { anyCuts, chopped, heardBy, wireBytes } from "../support/feed.ts";

const bytes = (text: string) => new TextEncoder().encode(text);
const read = (options: Record<string, string>, text: string) => heardBy(line.create(options), [bytes(text)]);

describe("framing", () => {
  test("any chunking of the same bytes gives the same readings", () => {
    const options = fc.constantFrom<Record<string, string>>(
      { unit: "mbar" },
      { terminator: "crlf", unit: "Pa" },
      { terminator: "cr", query: "D", unit: "Pa" },
      { unit: "Pa", checksum: "xor" },
      { separator: "semicolon", decimal: "comma", field: "2", unitField: "3", airField: "1" },
    );
    fc.assert(
      fc.property(options, wireBytes(["100.2 mbar", "1;2,5;mmH2O", "OL", "-3", "\u007f", "5*35", "*"]), anyCuts, (chosen, wire, cuts) => {
        expect(heardBy(line.create(chosen), chopped(wire, cuts))).toEqual(heardBy(line.create(chosen), [wire]));
      }),
      { numRuns: 500 },
    );
  });

  test("no byte is counted twice", () => {
    fc.assert(
      fc.property(wireBytes(["100.2 mbar", "#~#"]), (wire) => {
        expect(heardBy(line.create({}), [wire]).unused).toBeLessThanOrEqual(wire.length);
      }),
    );
  });
});

describe("units", () => {
  test("a spoken unit wins over the option", () => {
    expect(read({ unit: "mbar" }, "100 mmH2O\n").readings[0]).toMatchObject({ pressure_Pa: 980.665, unit: "mmH2O" });
  });
  test("a figure without any unit is no reading", () => {
    expect(read({}, "100\n").readings[0]).toMatchObject({ pressure_Pa: null, unit: null, status: "unit-unknown" });
  });
  test("an atmosphere without a unit is not guessed", () => {
    expect(read({ unit: "Pa", ambientField: "2" }, "100,1013\n").readings[0]).toMatchObject({ pressure_Pa: 100, ambient_Pa: null });
  });
  test("air in another scale is not taken for degrees Celsius", () => {
    expect(read({ unit: "Pa", airField: "2" }, "100,70 F\n").readings[0]).toMatchObject({ pressure_Pa: 100, air_C: null });
  });
});

describe("signs", () => {
  const signs = { unit: "Pa", signField: "1", field: "2" };
  test.each([
    ["-,5", -5],
    ["vac,5", -5],
    ["VACUUM,-5", -5],
    [" ,5", 5],
    ["+,-5", -5],
  ])("%j is %d", (text, pressure_Pa) => expect(read(signs, `${text}\n`).readings[0]?.pressure_Pa).toBe(pressure_Pa));
  test("a word that is no sign spoils the line", () => expect(read(signs, "x,5\n")).toMatchObject({ readings: [], unused: 3 }));
  test("words of one's own", () => {
    const own = { ...signs, negative: "N, L" };
    expect(read(own, "N,5\nL,5\nP,5\n-,5\n").readings.map((one) => one.pressure_Pa)).toEqual([-5, -5, 5, 5]);
  });
  test("vacuum counted upwards", () => expect(read({ unit: "Pa", sign: "reversed" }, "5\n").readings[0]?.pressure_Pa).toBe(-5));
});

describe("status letters", () => {
  const letters = { unit: "Pa", status: "OL:overload,E:sensor-fault,??:not-a-number" };
  test.each([
    ["OL", "overload"],
    ["E", "sensor-fault"],
    ["??", "not-a-number"],
    ["100 OL", "overload"],
  ])("%j in place of the figure or beside it", (text, status) =>
    expect(read(letters, `${text}\n`).readings[0]).toMatchObject({ pressure_Pa: null, status }),
  );
  test("in a field of their own; without a good letter told the unknown ones are good", () => {
    const apart = { ...letters, statusField: "2" };
    expect(read(apart, "5,E\n5,OK\n5,\n").readings.map((one) => one.pressure_Pa)).toEqual([null, 5, 5]);
  });
});

test("says what the pressure stands on", () => {
  expect([line.create({}).reference, line.create({ reference: "absolute" }).reference]).toEqual(["vented", "absolute"]);
});

describe("separators", () => {
  test.each([
    ["space", "  7  100.2 mbar \n", "2"],
    ["tab", "7\t100.2 mbar\n", "2"],
    ["|", "7|100.2 mbar\n", "2"],
  ])("%s", (separator, text, field) => {
    const unit = separator === "space" ? { unitField: "3" } : {};
    expect(read({ separator, field, ...unit }, text).readings[0]?.pressure_Pa).toBe(10_020);
  });
});

test.each([
  ["field", "0"],
  ["field", "two"],
  ["separator", "ab"],
  ["separator", "."],
  ["unit", "furlong"],
  ["decimal", "dot"],
  ["terminator", "nl"],
  ["query", "\u0007"],
  ["interval", "5"],
  ["timeout", "1e3"],
  ["status", "OL"],
  ["status", "OL:broken"],
  ["status", ""],
  ["statusField", "2"],
  ["negative", "VAC"],
  ["sign", "minus"],
  ["checksum", "md5"],
  ["checksumPlace", "front"],
  ["reference", "gauge"],
  ["colour", "red"],
])("%s=%s is refused by name before a port is opened", (name, value) => {
  try {
    line.create({ [name]: value });
    expect.unreachable();
  } catch (error) {
    expect(isStaunchError(error, "gauge-option") && error.exit).toBe(64);
    expect(String(error)).toContain(name);
  }
});

test("a decimal comma cannot part fields as well", () => {
  expect(() => line.create({ decimal: "comma", separator: "comma" })).toThrow(/separator/);
});
