import { linearRegression } from "simple-statistics";
import { describe, expect, it } from "vitest";
import { type Rate, rateOf } from "../../../src/core/live/rate.ts";
import { curveOf } from "../../support/pressureCurve.ts";

const windowOf = (curve: { time_s: Float64Array; pressure_Pa: Float64Array }) => ({ time_s: curve.time_s, value: curve.pressure_Pa });
const rate = (wishes: Parameters<typeof curveOf>[1], slope_Pa_s: number, over_s = 10, step_Pa = 0): Rate => {
  const found = rateOf(windowOf(curveOf((t) => 1000 + slope_Pa_s * t, wishes)), over_s, step_Pa);
  if (found === null) throw new Error("no rate");
  return found;
};

describe("the rate of change", () => {
  it("is the slope of the newest seconds, as simple-statistics finds it", () => {
    const curve = curveOf((t) => 1000 - 3 * t + 0.01 * t * t, { to_s: 60, interval_s: 0.2, noise_Pa: 1 });
    const points = Array.from(curve.time_s, (t, i) => [t, curve.pressure_Pa[i] ?? Number.NaN]).filter(([t = 0]) => t >= 50 - 1e-9);
    expect(rateOf(windowOf(curve), 10, 0)?.rate_Pa_s).toBeCloseTo(linearRegression(points).m, 9);
  });

  it("says how well it is known: the scatter of many rates is what each of them says of itself", () => {
    const rates = Array.from({ length: 400 }, (_, seed) => rate({ to_s: 10, interval_s: 0.2, noise_Pa: 2, seed: 7919 * (seed + 1) }, -0.8));
    const mean = rates.reduce((sum, one) => sum + one.rate_Pa_s, 0) / rates.length;
    const scatter = Math.sqrt(rates.reduce((sum, one) => sum + (one.rate_Pa_s - mean) ** 2, 0) / (rates.length - 1));
    const told = rates.reduce((sum, one) => sum + (one.u_Pa_s ?? Number.NaN), 0) / rates.length;
    // σ/√Σ(t − t̄)² for 51 readings 0.2 s apart, by hand: 2 / √(0.04 · 51 · (51² − 1)/12) = 0.0951.
    expect(scatter).toBeGreaterThan(0.085);
    expect(scatter).toBeLessThan(0.105);
    expect(told / scatter).toBeGreaterThan(0.95);
    expect(told / scatter).toBeLessThan(1.25);
    expect(mean).toBeCloseTo(-0.8, 1);
  });

  it("of a gauge that shows one figure all along is nought, and how well is not known until its step is", () => {
    expect(rate({ to_s: 20, interval_s: 0.5 }, 0)).toEqual({ rate_Pa_s: 0, u_Pa_s: null, over_s: 10 });
    expect(rate({ to_s: 20, interval_s: 0.5 }, 0, 10, 10).u_Pa_s).toBeCloseTo(10 / Math.sqrt(6) / 10, 12);
  });

  it("gives a slow gauge the time of five readings, but never what is six windows old", () => {
    expect(rate({ to_s: 100, interval_s: 5 }, -1)).toMatchObject({ over_s: 20 });
    expect(rate({ to_s: 1000, interval_s: 25 }, -1).over_s).toBe(50);
    expect(rateOf(windowOf(curveOf(() => 1, { to_s: 1000, interval_s: 50 })), 10, 0)).toBeNull();
    expect(rateOf(windowOf(curveOf(() => 1, { to_s: 1 })), 10, 0)).toBeNull();
  });
});
