import { describe, expect, test } from "vitest";
import { duration, figure, pressure, pressureScale, probability, significant } from "../../src/terminal/figures.ts";

describe("the scale of a method's pressures", () => {
  // Decimals by hand: the last digit is at most a hundredth of the permitted drop.
  test.each([
    ["en1610-la", "mbar", 250, 2, "10.00 mbar", 1000],
    ["en1610-lc", "mbar", 1500, 1, "100.0 mbar", 10_000],
    ["25 mm of 100 mm water gauge", "mmH2O", 25 * 9.80665, 1, "100.0 mmH2O", 100 * 9.80665],
    ["pascal", "Pa", 250, 0, "1000 Pa", 1000],
    // 1 psi = 6894.757 Pa (NIST SP 811, appendix B.8).
    ["1 psi of 4 psi", "psi", 6894.757, 2, "4.00 psi", 4 * 6894.757],
    // 1 inch of mercury = 3386.389 Pa (conventional; NIST SP 811, appendix B.8).
    ["1 inHg of -10 inHg", "inHg", 3386.389, 2, "-10.00 inHg", -33_863.89],
  ])("%s in %s", (_, unit, permitted_Pa, decimals, shown, test_Pa) => {
    const scale = pressureScale(unit, permitted_Pa);
    expect(scale.decimals).toBe(decimals);
    expect(pressure(scale, test_Pa)).toBe(shown);
  });

  test("a unit nobody knows is shown in pascal", () => {
    expect(pressure(pressureScale("furlong", 250), 1000)).toBe("1000 Pa");
  });

  test("a silly permitted drop gives a sane number of decimals", () => {
    for (const drop of [0, -5, Number.NaN, 1e-30, 1e30]) {
      const { decimals } = pressureScale("mbar", drop);
      expect(decimals).toBeGreaterThanOrEqual(0);
      expect(decimals).toBeLessThanOrEqual(4);
    }
  });

  test("every figure of a scale is as wide as its widest", () => {
    const scale = pressureScale("mbar", 1500, 12_100);
    expect(figure(scale, 12_100)).toBe("121.0");
    expect(figure(scale, 560)).toBe("  5.6");
    expect(figure(scale, null)).toBe("   --");
    expect(figure(scale, Number.NaN)).toBe("   --");
    expect(figure(pressureScale("mbar", 1500, -12_100), -9870)).toBe(" -98.7");
  });

  test("nothing is shown as minus zero", () => {
    expect(figure(pressureScale("mbar", 1500), -2)).toBe("0.0");
    expect(figure(pressureScale("mbar", 1500), -5.1)).toBe("-0.1");
  });
});

describe("durations", () => {
  test.each([
    [0, "0:00", "0:00"],
    [0.01, "0:00", "0:01"],
    [59.999, "0:59", "1:00"],
    [60, "1:00", "1:00"],
    [60.0000001, "1:00", "1:00"],
    [299.5, "4:59", "5:00"],
    [3600, "60:00", "60:00"],
    [-3, "0:00", "0:00"],
  ])("%d s", (seconds, passed, left) => {
    expect(duration(seconds)).toBe(passed);
    expect(duration(seconds, "up")).toBe(left);
  });

  test("an unknown one is dashes", () => {
    expect(duration(null)).toBe("-:--");
    expect(duration(Number.POSITIVE_INFINITY)).toBe("-:--");
  });
});

test.each([
  [1, "over 99.9 %"],
  [0.9991, "over 99.9 %"],
  [0.994, "99.4 %"],
  [0.77, "77 %"],
  [0.02, "2 %"],
  [0.005, "0.5 %"],
  [0.0001, "under 0.1 %"],
  [null, "unknown"],
])("probability %s is %s", (p, words) => {
  expect(probability(p)).toBe(words);
});

test.each([
  [1.23, 1, "1"],
  [0.337, 1, "0.3"],
  [0.0996, 2, "0.10"],
  [14.23, 2, "14"],
  [142.3, 2, "140"],
  [0, 2, "0"],
  [null, 2, "unknown"],
])("%s to %d digits is %s", (value, digits, words) => {
  expect(significant(value, digits)).toBe(words);
});
