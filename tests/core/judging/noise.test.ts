import { sampleStandardDeviation } from "simple-statistics";
import { describe, expect, it } from "vitest";
import { noiseOf, resolutionOf } from "../../../src/core/judging/noise.ts";
import { curveOf, normal } from "../../support/pressureCurve.ts";

const leaking = (t: number): number => 1000 * Math.exp(-0.001 * t);

describe("noise about the trend", () => {
  it("is the scatter of the readings, whatever the leak", () => {
    const { time_s, pressure_Pa } = curveOf(leaking, { to_s: 600, noise_Pa: 2 });
    const noise = noiseOf(time_s, pressure_Pa, 0, 600, 0);
    const plain = sampleStandardDeviation(Array.from(pressure_Pa, (p, i) => p - leaking(time_s[i] ?? 0)));
    expect(noise.sigma_Pa / plain).toBeCloseTo(1, 1);
    expect(noise.correlation).toBeLessThan(1.6);
    expect(noise.interval_s).toBeCloseTo(1, 9);
  });

  it("counts gusts that outlast the reading interval: (1 + ρ)/(1 − ρ) readings are worth one (first-order autoregression)", () => {
    const next = normal(5);
    let gust = 0;
    const { time_s, pressure_Pa } = curveOf(
      (t) => {
        gust = 0.6 * gust + next();
        return leaking(t) + gust;
      },
      { to_s: 3000 },
    );
    const { correlation } = noiseOf(time_s, pressure_Pa, 0, 3000, 0);
    expect(correlation).toBeGreaterThan(2.8);
    expect(correlation).toBeLessThan(5.2);
  });

  it("knows when averaging cannot see between the gauge's steps", () => {
    const fine = curveOf(leaking, { to_s: 300, noise_Pa: 2, resolution_Pa: 1 });
    const coarse = curveOf(leaking, { to_s: 300, noise_Pa: 1, resolution_Pa: 10 });
    expect(noiseOf(fine.time_s, fine.pressure_Pa, 0, 300, 1).undithered).toBe(false);
    expect(noiseOf(coarse.time_s, coarse.pressure_Pa, 0, 300, 10).undithered).toBe(true);
  });

  it("does not take a step between two blocks for noise", () => {
    const { time_s, pressure_Pa } = curveOf((t) => (t > 130 ? 800 : 1000), { to_s: 300, noise_Pa: 1 });
    expect(noiseOf(time_s, pressure_Pa, 0, 300, 0, [130]).sigma_Pa).toBeLessThan(1.3);
  });
});

describe("the gauge's step", () => {
  it.each([0.5, 1, 2, 5, 9.80665, 68.95])("of %f Pa is read off the curve", (step) => {
    const { pressure_Pa } = curveOf((t) => 1000 * Math.sin(t / 40), { to_s: 600, noise_Pa: step, resolution_Pa: step });
    expect(resolutionOf(pressure_Pa)).toBeCloseTo(step, 6);
  });

  it("is none where every reading differs", () => {
    expect(resolutionOf(curveOf(leaking, { to_s: 600, noise_Pa: 1 }).pressure_Pa)).toBe(0);
    expect(resolutionOf(Float64Array.of(1, 1, 1))).toBe(0);
  });
});
