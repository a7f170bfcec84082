import { describe, expect, it } from "vitest";
import { type FitFacts, fitnessOf, isFit } from "../../../src/core/gauges/fitness.ts";
import { EMPTY_SHEET, errorOf_Pa } from "../../../src/core/gauges/sheet.ts";
import { limitsFor } from "../../../src/core/methods/index.ts";
import type { Limits } from "../../../src/core/methods/limits.ts";

/** EN 1610 LC: charge 110 mbar, test 100 mbar, 15 mbar may be lost (table 3 of the 2015 edition, from memory); a tenth is 150 Pa. */
const lc = limitsFor("en1610-lc", { dn_mm: 300, material: "pvc", laid_length_m: 45 });
const fine: FitFacts = {
  reference: "vented",
  range_Pa: [0, 20_000],
  resolution_Pa: 1,
  accuracy_fraction: 0.001,
  accuracy_Pa: null,
  calibrated: "2026-03-01",
  due: "2027-03-01",
};
const unfit = (over: Partial<FitFacts>, limits: Limits = lc, today = "2026-11-25"): string[] =>
  fitnessOf({ ...fine, ...over }, limits, today)
    .filter(({ fit }) => fit !== true)
    .map(({ code, fit }) => `${code} ${fit}`);

describe("a gauge's fitness for a method", () => {
  it("is given when range, steps, error and calibration are", () => {
    expect(unfit({})).toEqual([]);
    expect(isFit(fitnessOf(fine, lc, "2026-11-25"))).toBe(true);
  });

  it("wants the top pressure inside the range, with its sign", () => {
    expect(unfit({ range_Pa: [0, 12_000] })).toEqual(["range false"]);
    const vacuum: Limits = { ...lc, direction: "vacuum", test_Pa: -10_000, charge_Pa: -11_000, top_Pa: -12_650 };
    expect(unfit({}, vacuum)).toEqual(["range false"]);
    expect(unfit({ range_Pa: [-20_000, 0] }, vacuum)).toEqual([]);
  });

  it("counts an absolute sensor's range from vacuum", () => {
    expect(unfit({ reference: "absolute" })).toEqual(["range false"]);
    expect(unfit({ reference: "absolute", range_Pa: [30_000, 110_000] })).toEqual(["range false"]);
    expect(unfit({ reference: "absolute", range_Pa: [30_000, 120_000] })).toEqual([]);
  });

  // By hand: a rectangular half-width a has the standard uncertainty a/√3 (JCGM 100:2008, 4.3.7); k = 2.
  it.each([
    [129, []],
    [131, ["accuracy false"]],
  ])("an error of %d Pa leaves the drop known to 2·a/√3 against 150 Pa", (accuracy_Pa, expected) => {
    expect(unfit({ accuracy_fraction: null, accuracy_Pa })).toEqual(expected);
  });

  it("wants steps of at most a tenth of the permitted drop", () => {
    expect(unfit({ resolution_Pa: 150 })).toEqual([]);
    expect(unfit({ resolution_Pa: 151 })).toEqual(["resolution false"]);
  });

  it("counts the due day itself as in date, not the one after, nor a day before the calibration", () => {
    expect(unfit({}, lc, "2027-03-01")).toEqual([]);
    expect(unfit({}, lc, "2027-03-02")).toEqual(["calibration false"]);
    expect(unfit({}, lc, "2026-02-28")).toEqual(["calibration false"]);
  });

  it("is not given by what nobody told", () => {
    const facts: FitFacts = { reference: "vented", resolution_Pa: null, accuracy_fraction: null, accuracy_Pa: null };
    const points = fitnessOf(facts, lc, "2026-11-25");
    expect(points.map(({ fit }) => fit)).toEqual([null, null, null, null]);
    expect(isFit(points)).toBe(false);
  });
});

describe("full scale", () => {
  it("is the whole range, of a gauge for both signs too", () => {
    const sheet = { url: "keyed://", ...EMPTY_SHEET, accuracy_full_scale: 0.001 };
    expect(errorOf_Pa({ ...sheet, low_Pa: 0, high_Pa: 20_000 })).toBeCloseTo(20, 9);
    expect(errorOf_Pa({ ...sheet, low_Pa: -20_000, high_Pa: 20_000 })).toBeCloseTo(40, 9);
  });
});
