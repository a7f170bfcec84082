import { describe, expect, it } from "vitest";
import { laminar, orifice } from "../../../src/core/judging/settledLeak.ts";

describe.each([
  ["laminar", laminar],
  ["orifice", orifice],
])("%s leak", (_, leak) => {
  it("goes through the two pressures it was started from", () => {
    const [a, k] = leak.start(1000, 750, 300);
    expect(leak.value(a, k, 0)).toBeCloseTo(1000, 9);
    expect(leak.value(a, k, 300)).toBeCloseTo(750, 9);
  });

  it("knows how it changes with its parameters (finite differences)", () => {
    const [a, k] = leak.start(1000, 750, 300);
    for (const t of [0, 80, 300]) {
      const byA = (leak.value(a * 1.000001, k, t) - leak.value(a, k, t)) / (a * 0.000001);
      const byK = (leak.value(a, k * 1.00001, t) - leak.value(a, k, t)) / (k * 0.00001);
      expect(leak.byA(a, k, t) / byA).toBeCloseTo(1, 4);
      if (t > 0) expect(leak.byK(a, k, t) / byK).toBeCloseTo(1, 4);
    }
  });
});

describe("of the two", () => {
  it("the hole's curve bends half as much", () => {
    const bend = (leak: typeof laminar): number => {
      const [a, k] = leak.start(1000, 750, 300);
      return (leak.value(a, k, 0) + leak.value(a, k, 300)) / 2 - leak.value(a, k, 150);
    };
    expect(bend(laminar) / bend(orifice)).toBeCloseTo(2, 1);
  });
});
