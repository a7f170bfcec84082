import fc from "fast-check";
import { describe, expect, it } from "vitest";
import reference from "../../fixtures/reference/units.json" with { type: "json" };
import { isStaunchError } from "../../src/core/errors.ts";
import {
  canonicalUnit,
  parseDn,
  parseDuration,
  parseLength,
  parsePressure,
  toUnit,
  UNIT_NAMES,
  unitFactor_Pa,
} from "../../src/core/units.ts";
import { errorOf } from "../support/errors.ts";

describe("factors", () => {
  // NIST SP 811, appendix B.8, read in a copy; printed to seven digits.
  it.each(reference.rows)("$unit is $pascal Pa", ({ unit, pascal }) => {
    expect(unitFactor_Pa(unit)).toBeCloseTo(pascal, pascal > 1000 ? 2 : 4);
    expect(Number((unitFactor_Pa(unit) ?? 0).toPrecision(7))).toBe(pascal);
  });

  it("follow the definitions where SI gives them", () => {
    const { psi, bar, mbar, kPa } = reference.exact;
    expect(unitFactor_Pa("psi")).toBeCloseTo(psi, 9);
    expect([unitFactor_Pa("bar"), unitFactor_Pa("mbar"), unitFactor_Pa("kPa"), unitFactor_Pa("hPa")]).toEqual([bar, mbar, kPa, 100]);
    expect(unitFactor_Pa("inH2O")).toBeCloseTo(25.4 * 9.80665, 9);
    expect(unitFactor_Pa("inHg")).toBeCloseTo((25.4 * 13595.1 * 9.80665) / 1000, 8);
  });

  it.each(reference.not_ours)("keeps apart from $name ($pascal Pa)", ({ name, pascal }) => {
    const conventional = unitFactor_Pa(name.replace("_60F", "")) ?? 0;
    expect(Math.abs(conventional / pascal - 1)).toBeGreaterThan(5e-4);
  });
});

describe("canonicalUnit", () => {
  it.each([
    ["mm", "mmH2O"],
    ["mm wg", "mmH2O"],
    ["mmWG", "mmH2O"],
    ["mm w.g.", "mmH2O"],
    ["mm water", "mmH2O"],
    ["mm H₂O", "mmH2O"],
    ["in Hg", "inHg"],
    ['"Hg', "inHg"],
    ["inwc", "inH2O"],
    ["in. w.c.", "inH2O"],
    ["MBAR", "mbar"],
    ["mb", "mbar"],
    ["psig", "psi"],
    ["hpa", "hPa"],
  ])("%s → %s", (text, unit) => {
    expect(canonicalUnit(text)).toBe(unit);
  });

  it.each(["", "m", "furlong", "MPa", "inch", "constructor", "__proto__", "toString"])("%j is none of ours", (text) => {
    expect(canonicalUnit(text)).toBeUndefined();
    expect(unitFactor_Pa(text)).toBeUndefined();
  });
});

describe("parsePressure", () => {
  it.each([
    ["100 mm", 980.665],
    ["2.5mbar", 250],
    ["1 in Hg", 3386.388640341],
    ["-34 kPa", -34_000],
    ["−34 kPa", -34_000],
    [" 1e3 Pa ", 1000],
    [".5 psi", 3447.378646584],
    ["+10 mbar", 1000],
  ])("%s", (text, pascal) => {
    expect(parsePressure(text)).toBeCloseTo(pascal, 8);
  });

  it.each([
    "",
    "100",
    "mbar",
    "NaN Pa",
    "Infinity Pa",
    "1e999 Pa",
    "--5 Pa",
    "1 2 Pa",
    "0x10 Pa",
    "5 mbar of beer",
    "2,5 mbar",
    "\u0000 Pa",
  ])("refuses %j", (text) => {
    const error = errorOf(() => parsePressure(text));
    expect(["pressure-unreadable", "unit-unknown"]).toContain(error.code);
    expect(error.exit).toBe(64);
  });

  it("says which sign parts decimals when a comma was written", () => {
    expect(errorOf(() => parsePressure("2,5 mbar")).hint).toMatch(/decimal sign is a point/);
  });

  it("takes back what toUnit gave, in every unit", () => {
    const unit = fc.constantFrom(...UNIT_NAMES);
    const pressure_Pa = fc.double({ min: -1e6, max: 1e6, noNaN: true });
    fc.assert(
      fc.property(unit, pressure_Pa, (name, value_Pa) => {
        const back_Pa = parsePressure(`${toUnit(value_Pa, name)} ${name}`);
        expect(Math.abs(back_Pa - value_Pa)).toBeLessThanOrEqual(1e-14 * Math.abs(value_Pa) + 1e-300);
      }),
    );
  });

  it("gives a finite number or a StaunchError, whatever comes", () => {
    const outcome = (text: string): string => {
      try {
        return Number.isFinite(parsePressure(text)) ? "finite" : "not finite";
      } catch (error) {
        return isStaunchError(error) ? "refused" : "broken";
      }
    };
    const text = fc.oneof(
      fc.string(),
      fc.string({ unit: "binary" }),
      fc.tuple(fc.double(), fc.string()).map(([a, b]) => `${a} ${b}`),
    );
    fc.assert(fc.property(text, (any) => ["finite", "refused"].includes(outcome(any))));
  });
});

describe("parseLength, parseDn, parseDuration", () => {
  it.each([
    ["45", 45],
    ["150ft", 45.72],
    ["12.5 m", 12.5],
    ["0.3 km", 300],
  ])("length %s", (text, length_m) => {
    expect(parseLength(text)).toBeCloseTo(length_m, 12);
  });

  it.each([
    ["300", 300],
    ["DN300", 300],
    ["dn 150", 150],
    ["12in", 304.8],
    ['12"', 304.8],
    ["225 mm", 225],
  ])("DN %s", (text, dn_mm) => {
    expect(parseDn(text)).toBeCloseTo(dn_mm, 12);
  });

  it.each([
    ["5 min", 300],
    ["90 s", 90],
    ["1 min 30 s", 90],
    ["1.5min", 90],
    ["1 h", 3600],
    ["0 s", 0],
    ["-3 s", -3],
  ])("duration %s", (text, seconds) => {
    expect(parseDuration(text)).toBe(seconds);
  });

  it.each([
    [parseLength, "length-unreadable", ["", "0", "-4", "1e9", "forty", "45 yards", "4 constructor"]],
    [parseDn, "dn-unreadable", ["", "0", "-300", "300 ft", "99999", "DN"]],
    [parseDuration, "duration-unreadable", ["", "5", "min", "5 min and a bit", "5 parsecs", "1 min x 30 s"]],
  ] as const)("%o refuses nonsense", (parse, code, texts) => {
    for (const text of texts) expect(errorOf(() => parse(text)).code, text).toBe(code);
  });
});
