import { describe, expect, it } from "vitest";
import { fitSettling } from "../../../src/core/judging/settlingFit.ts";
import { type CurveWishes, curveOf } from "../../support/pressureCurve.ts";

const K_PER_S = Math.log(1000 / 750) / 300;

function fitted(pressure_Pa: (t: number) => number, wishes: Partial<CurveWishes> = {}) {
  const { time_s, pressure_Pa: size_Pa } = curveOf(pressure_Pa, { to_s: 400, ...wishes });
  const found = fitSettling({
    time_s,
    size_Pa,
    from_s: 0,
    to_s: 400,
    test_Pa: 1000,
    longest_s: 250,
    resolution_Pa: wishes.resolution_Pa ?? 0,
  });
  if (!found) throw new Error("no fit");
  return found;
}

/** What c·exp(−t/τ) still loses from `start_s` over `hold_s`. */
const closedForm = (c_Pa: number, tau_s: number, start_s: number, hold_s: number): number =>
  c_Pa * Math.exp(-start_s / tau_s) * (1 - Math.exp(-hold_s / tau_s));

describe("transient still to come", () => {
  it.each([
    [60, 20],
    [60, 45],
    [-40, 25],
    [120, 100],
  ])("of %d Pa dying with %d s is the closed form, leak or no leak", (c_Pa, tau_s) => {
    for (const k of [0, K_PER_S]) {
      const found = fitted((t) => 1000 * Math.exp(-k * t) + c_Pa * Math.exp(-t / tau_s)).comingAt(40, 300);
      expect(found.coming_Pa / closedForm(c_Pa, tau_s, 40, 300)).toBeGreaterThan(0.97);
      expect(found.coming_Pa / closedForm(c_Pa, tau_s, 40, 300)).toBeLessThan(1.03);
    }
  });

  it("is nothing for a settled leak at the limit, laminar or orifice: such a pipe never goes flat and is settled all the same", () => {
    const b = ((Math.sqrt(1000) - Math.sqrt(750)) * 2) / 300;
    const laminar = (t: number): number => 1000 * Math.exp(-K_PER_S * t);
    const orifice = (t: number): number => (Math.sqrt(1000) - (b * t) / 2) ** 2;
    for (const leak of [laminar, orifice]) expect(Math.abs(fitted(leak).comingAt(0, 300).coming_Pa)).toBeLessThan(1);
  });

  it("lies inside its own bounds 9 times in 10: each of them is a one-sided 95 %", () => {
    const truth = closedForm(60, 30, 30, 300);
    let inside = 0;
    for (let seed = 1; seed <= 100; seed++) {
      const found = fitted((t) => 1000 * Math.exp(-K_PER_S * t) + 60 * Math.exp(-t / 30), { noise_Pa: 2, resolution_Pa: 1, seed }).comingAt(
        30,
        300,
      );
      if (found.low_Pa <= truth && truth <= found.high_Pa) inside++;
    }
    expect(inside).toBeGreaterThanOrEqual(82);
  });

  it("is not claimed to be known when the gauge is too coarse", () => {
    const { coming_Pa, high_Pa } = fitted((t) => 1000 - 0.1 * t, { resolution_Pa: 50 }).comingAt(0, 300);
    expect(high_Pa - coming_Pa).toBeGreaterThan(8);
  });

  it("cannot be told from a handful of readings", () => {
    const { time_s, pressure_Pa } = curveOf(() => 1000, { to_s: 10 });
    expect(fitSettling({ time_s, size_Pa: pressure_Pa, from_s: 0, to_s: 10, test_Pa: 1000, longest_s: 250, resolution_Pa: 1 })).toBeNull();
  });
});
