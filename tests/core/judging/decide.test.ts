import { cumulativeStdNormalProbability } from "simple-statistics";
import { describe, expect, it } from "vitest";
import { conformance, decide, normalCdf } from "../../../src/core/judging/decide.ts";

describe("normal law", () => {
  // Quantiles printed in every table of the normal law.
  it.each([
    [0, 0.5],
    [1.281552, 0.9],
    [1.644854, 0.95],
    [1.959964, 0.975],
    [2.326348, 0.99],
    [-1.644854, 0.05],
  ])("Φ(%f) = %f", (z, p) => expect(normalCdf(z)).toBeCloseTo(p, 5));

  it("agrees with a statistics library to its four decimals", () => {
    for (let z = -3; z <= 3; z += 0.37) expect(Math.abs(normalCdf(z) - cumulativeStdNormalProbability(z))).toBeLessThan(2e-3);
  });
});

describe("decision", () => {
  // Worked by hand with the formula of JCGM 106:2012, 7.2: limit 250 Pa, u 4 Pa.
  it.each([
    [240, 0.9938, "pass"],
    [247, 0.7734, "inconclusive"],
    [258, 0.0228, "fail"],
  ] as const)("guarded: a drop of %d Pa conforms with %f", (drop_Pa, p, decision) => {
    const margin = { margin_Pa: 250 - drop_Pa, u_Pa: 4 };
    expect(conformance(margin)).toBeCloseTo(p, 3);
    expect(decide(margin, "guarded", "less-or-equal")).toBe(decision);
  });

  it("simple: at the limit the method's wording decides", () => {
    const margin = { margin_Pa: 0, u_Pa: 4 };
    expect(decide(margin, "simple", "less-or-equal")).toBe("pass");
    expect(decide(margin, "simple", "less")).toBe("fail");
    expect(decide({ margin_Pa: 3, u_Pa: 4 }, "simple", "less-or-equal")).toBe("pass");
    expect(decide({ margin_Pa: -0.01, u_Pa: 4 }, "simple", "less-or-equal")).toBe("fail");
  });

  it("needs no uncertainty to be certain", () => {
    expect(conformance({ margin_Pa: 1, u_Pa: 0 })).toBe(1);
    expect(conformance({ margin_Pa: -1, u_Pa: 0 })).toBe(0);
  });
});
