import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { limitsFor } from "../../src/core/methods/index.ts";
import { readMethodJson } from "../../src/intake/methodJson.ts";
import { errorOf } from "../support/errors.ts";

const MM_Pa = 9.80665;
const good = {
  id: "our-drain-1",
  title: "Our drain test",
  source: "made up for this test",
  medium: "air",
  stop: "fixed-time",
  charge: "110 mmH2O",
  settle: "5 min",
  test: "100 mmH2O",
  hold: "5 min",
  permittedDrop: "25 mmH2O",
  boundary: "less-or-equal",
};
const { permittedDrop: _, ...withoutDrop } = good;
const read = (changes: object = {}) => readMethodJson(JSON.stringify({ ...good, ...changes }));
const refused = (changes: object) => errorOf(() => read(changes));

describe("readMethodJson", () => {
  it("reads the design's example", () => {
    const own = read();
    expect(own).toMatchObject({
      id: "our-drain-1",
      title: "Our drain test",
      medium: "air",
      stop: "fixed-time",
      settle_s: 300,
      hold_s: 300,
      floor_Pa: null,
      boundary: "less-or-equal",
      startTolerance_Pa: null,
    });
    expect([own.charge_Pa, own.test_Pa, own.permittedDrop_Pa].map((pascal) => pascal / MM_Pa)).toEqual([
      expect.closeTo(110, 9),
      expect.closeTo(100, 9),
      expect.closeTo(25, 9),
    ]);
  });

  it("takes a floor in place of a drop, and a start tolerance", () => {
    const own = readMethodJson(JSON.stringify({ ...withoutDrop, floor: "75 mmH2O", startTolerance: "1 mmH2O" }));
    expect(own.floor_Pa).toBeCloseTo(75 * MM_Pa, 9);
    expect(own.permittedDrop_Pa).toBeCloseTo(25 * MM_Pa, 9);
    expect(own.startTolerance_Pa).toBeCloseTo(MM_Pa, 9);
  });

  it("takes a vacuum by its sign, with a drop or with a floor", () => {
    const own = read({ charge: "-10.4 inHg", test: "-10 inHg", permittedDrop: "1 inHg" });
    expect(own).toMatchObject({ test_Pa: expect.closeTo(-33_863.886, 2), permittedDrop_Pa: expect.closeTo(3386.389, 2) });
    const floor = readMethodJson(JSON.stringify({ ...withoutDrop, charge: "-35 kPa", test: "-34 kPa", floor: "-30 kPa" }));
    expect(floor).toMatchObject({ floor_Pa: -30_000, permittedDrop_Pa: 4000 });
  });

  it("takes a timed fall, a top pressure of its own and a rule of early acceptance", () => {
    const own = read({ stop: "fixed-drop", top: "120 mmH2O", earlyAcceptance: "when 5 min of settling lose less than 1 mm" });
    expect(own).toMatchObject({ stop: "fixed-drop", top_Pa: expect.closeTo(120 * MM_Pa, 9) });
    const limits = limitsFor(own, { dn_mm: 150, material: null, laid_length_m: null });
    expect(limits.top_Pa).toBeCloseTo(120 * MM_Pa, 9);
    expect(limits.earlyAcceptance).toContain("5 min of settling");
    expect(limits.working.join("\n")).toContain("a fall of 25 mmH2O in exactly 5 min passes");
  });

  it("reads the methods of all simulated curves", () => {
    const { cases } = JSON.parse(readFileSync(new URL("../../fixtures/curves/cases.json", import.meta.url), "utf8")) as {
      cases: { method: unknown }[];
    };
    expect(cases).toHaveLength(81);
    for (const { method } of cases) expect(readMethodJson(JSON.stringify(method)).hold_s).toBeGreaterThan(0);
  });

  it.each(["", "{", "time_s,pressure_Pa\n0,1", "\u0000"])("refuses %j, which is no JSON", (text) => {
    const error = errorOf(() => readMethodJson(text));
    expect({ code: error.code, exit: error.exit }).toEqual({ code: "method-json", exit: 65 });
  });

  it.each(["[]", "3", "null", '"x"'])("refuses %s, which is no method", (text) => {
    expect(errorOf(() => readMethodJson(text)).message).toContain("the file: must be an object");
  });

  it.each(Object.keys(good).filter((field) => field !== "permittedDrop"))("says that %s is missing", (field) => {
    const error = refused({ [field]: undefined });
    expect(error.code).toBe("method-field");
    expect(error.message).toContain(`${field}: is missing`);
  });

  it.each([
    [{ hold: 300 }, "hold: must be text"],
    [{ charge: "1e9 Pa" }, "charge: is more than 100 kPa"],
    [{ test: "NaN Pa" }, 'test: "NaN Pa" is not a pressure'],
    [{ test: "100" }, "test:"],
    [{ test: "100 furlong" }, 'test: "furlong" is not a unit'],
    [{ charge: "90 mmH2O" }, "charge: is less than the test pressure"],
    [{ charge: "-110 mmH2O" }, "charge: is less than the test pressure, or on the other side"],
    [{ charge: "300 mmH2O" }, "charge: is more than twice"],
    [{ test: "0 Pa" }, "test: is zero"],
    [{ hold: "0 s" }, "hold: must be more than nothing"],
    [{ hold: "2000 h" }, "hold: is longer than a day"],
    [{ hold: "soon" }, 'hold: "soon" is not a length of time'],
    [{ settle: "-5 min" }, "settle: is negative"],
    [{ permittedDrop: undefined }, "permittedDrop: is missing, and so is floor"],
    [{ floor: "75 mmH2O" }, "permittedDrop: and floor exclude each other"],
    [{ permittedDrop: "-25 mmH2O" }, "permittedDrop: is a size"],
    [{ permittedDrop: "101 mmH2O" }, "permittedDrop: is more than the test pressure"],
    [{ permittedDrop: undefined, floor: "100 mmH2O" }, "floor: is not below the test pressure"],
    [{ permittedDrop: undefined, floor: "-10 mmH2O" }, "floor: is on the other side"],
    [{ startTolerance: "0 Pa" }, "startTolerance: must be more than nothing"],
    [{ startTolerance: "50 mmH2O" }, "startTolerance: is more than a quarter"],
    [{ medium: "beer" }, "medium: must be one of air, water"],
    [{ stop: "when-tired" }, "stop: must be one of fixed-time, fixed-drop"],
    [{ top: "100 mmH2O" }, "top: is less than the charge pressure"],
    [{ top: "-120 mmH2O" }, "top: is less than the charge pressure, or on the other side"],
    [{ top: "2 bar" }, "top: is more than 100 kPa"],
    [{ stop: "fixed-drop", permittedDrop: undefined, floor: "75 mmH2O" }, "stop: fixed-drop times a fall by permittedDrop"],
    [{ earlyAcceptance: "" }, "earlyAcceptance: is empty"],
    [{ medium: "water", earlyAcceptance: "at once" }, "earlyAcceptance: is a rule of air tests only"],
    [{ boundary: "about" }, "boundary: must be one of less-or-equal, less"],
    [{ id: "../../etc/passwd" }, "id: may hold letters"],
    [{ id: "a\u001b[31mb" }, "id: may hold letters"],
    [{ id: "en1610-lc" }, "id: is the name of a built-in method"],
    [{ title: "red \u001b[31m" }, "title: holds control characters"],
    [{ title: "turned \u202e" }, "title: holds control characters"],
    [{ source: "" }, "source: is empty"],
    [{ settel: "5 min" }, '"settel" is no field of a method'],
    [{ ["__proto__x"]: 1 }, "is no field of a method"],
  ])("refuses %o", (changes, sentence) => {
    const error = refused(changes);
    expect({ code: error.code, exit: error.exit }).toEqual({ code: "method-field", exit: 65 });
    expect(error.message).toContain(sentence);
  });

  it("names every wrong field at once", () => {
    const { message } = refused({ hold: "0 s", settle: "-1 s", charge: "1 Pa" });
    for (const field of ["hold:", "settle:", "charge:"]) expect(message).toContain(field);
  });
});
