import { describe, expect, it } from "vitest";
import { between, castDice, draw, normal } from "../../../drivers/simulated/dice.ts";

describe("dice", () => {
  it("gives Marsaglia's xorshift numbers after his start 2463534242 (paper of 2003, figures from memory)", () => {
    const streams = { ...castDice(1), gaugeDice: 2_463_534_242 | 0 };
    const first = [1, 2, 3].map(() => draw(streams, "gaugeDice") * 2 ** 32);
    expect(first).toEqual([723_471_715, 2_497_366_906, 2_064_144_800]);
  });

  it("has the mean and spread of an even and of a normal distribution (closed forms)", () => {
    for (const seed of [0, 1, 2, 4_294_967_295]) {
      const streams = castDice(seed);
      const n = 40_000;
      let evenSum = 0;
      let sum = 0;
      let squares = 0;
      for (let i = 0; i < n; i++) {
        evenSum += between(streams, "crewDice", 2, 4);
        const x = normal(streams, "weatherDice");
        sum += x;
        squares += x * x;
      }
      // Four standard errors: 2/√12/√n and 1/√n, √(2/n).
      expect(Math.abs(evenSum / n - 3)).toBeLessThan((4 * 0.577) / Math.sqrt(n));
      expect(Math.abs(sum / n)).toBeLessThan(4 / Math.sqrt(n));
      expect(Math.abs(squares / n - 1)).toBeLessThan(4 * Math.sqrt(2 / n));
    }
  });

  it("keeps its streams apart and starts neighbouring seeds far apart", () => {
    const streams = castDice(7);
    const untouched = castDice(7);
    draw(streams, "gaugeDice");
    expect(streams.crewDice).toBe(untouched.crewDice);
    const firsts = Array.from({ length: 1000 }, (_, seed) => draw(castDice(seed), "crewDice"));
    expect(new Set(firsts).size).toBe(1000);
    expect(firsts.filter((x) => x < 0.5).length).toBeGreaterThan(430);
    expect(firsts.filter((x) => x < 0.5).length).toBeLessThan(570);
  });
});
