import { describe, expect, it } from "vitest";
import { inOrder, reason, wordingOf } from "../../../src/core/judging/reasons.ts";

describe("reasons", () => {
  it("are told with what broke the attempt first and what made it doubtful after", () => {
    const codes = ["gauge-not-proven", "not-settled", "topped-up", "settle-too-short", "unit-changed"] as const;
    expect(inOrder(codes.map((c) => reason(c, ""))).map((r) => r.code)).toEqual([
      "unit-changed",
      "topped-up",
      "not-settled",
      "settle-too-short",
      "gauge-not-proven",
    ]);
  });

  it("speak the unit their method is worded in", () => {
    expect(wordingOf({ test_Pa: 10_000, permittedDrop_Pa: 1500 }).pressure(1234.5)).toMatch(/^(12\.35|12\.34) mbar$/);
    expect(wordingOf({ test_Pa: 980.665, permittedDrop_Pa: 245.16625 }).pressure(98.0665)).toBe("10 mmH2O");
    expect(wordingOf({ test_Pa: 10_000, permittedDrop_Pa: 1500 }).change(-50)).toBe("−0.5 mbar");
    expect([45, 300, 450].map(wordingOf({ test_Pa: 1, permittedDrop_Pa: 1 }).duration)).toEqual(["45 s", "5 min", "7.5 min"]);
  });
});
