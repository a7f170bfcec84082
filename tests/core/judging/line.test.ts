import fc from "fast-check";
import { linearRegression, linearRegressionLine } from "simple-statistics";
import { describe, expect, it } from "vitest";
import { fitLine, valueAt, widening } from "../../../src/core/judging/line.ts";
import { normal } from "../../support/pressureCurve.ts";

describe("a least-squares line", () => {
  // Reference: simple-statistics, linearRegression.
  it("is the one simple-statistics finds, over any part of the columns", () => {
    const point = fc.tuple(fc.double({ min: 0, max: 1000, noNaN: true }), fc.double({ min: -1e4, max: 1e4, noNaN: true }));
    fc.assert(
      fc.property(fc.array(point, { minLength: 5, maxLength: 60 }), fc.nat(3), (points, skipped) => {
        const t = points.map(([time], i) => i + time / 1001);
        const y = points.map(([, value]) => value);
        const reference = linearRegression(t.slice(skipped).map((time, i) => [time, y[skipped + i] ?? 0]));
        const line = fitLine(t, y, skipped, t.length);
        expect(line.n).toBe(t.length - skipped);
        expect(line.slope).toBeCloseTo(reference.m, 4);
        expect(valueAt(line, 500)).toBeCloseTo(linearRegressionLine(reference)(500), 2);
      }),
    );
  });

  it("gives the scatter about itself with n − 2 degrees of freedom", () => {
    const deviate = normal(3);
    const t = Array.from({ length: 40 }, (_, i) => i);
    const y = t.map((time) => 5 - 0.3 * time + deviate());
    const reference = linearRegressionLine(linearRegression(t.map((time, i) => [time, y[i] ?? 0])));
    const squares = t.reduce((sum, time, i) => sum + ((y[i] ?? 0) - reference(time)) ** 2, 0);
    expect(fitLine(t, y, 0, 40).sd).toBeCloseTo(Math.sqrt(squares / 38), 9);
  });

  it("stays flat through one point, empty through none, and bears equal times", () => {
    expect(fitLine([3], [7], 0, 1)).toMatchObject({ n: 1, meanT: 3, meanY: 7, slope: 0, sd: 0 });
    expect(fitLine([], [], 0, 0).n).toBe(0);
    expect(fitLine([2, 2, 2], [1, 2, 3], 0, 3)).toMatchObject({ slope: 0, sumTT: 0, meanY: 2 });
  });

  it("sees that neighbours go together, and not where they do not", () => {
    const deviate = normal(11);
    const t = Array.from({ length: 2000 }, (_, i) => i);
    let gust = 0;
    const windy = t.map(() => {
      gust = 0.7 * gust + deviate();
      return gust;
    });
    // Closed form: an autoregressive series of coefficient 0.7 has lag-one correlation 0.7.
    expect(fitLine(t, windy, 0, 2000).rho).toBeCloseTo(0.7, 1);
    expect(fitLine(t, t.map(deviate), 0, 2000).rho).toBeLessThan(0.05);
  });
});

describe("widening for correlated noise", () => {
  // Closed form: variance of the mean of a long autoregressive series is (1+ρ)/(1−ρ) times that of a white one.
  it.each([
    [0, 1],
    [0.5, Math.sqrt(3)],
    [0.8, 3],
  ])("ρ = %f widens %f times", (rho, times) => expect(widening(rho)).toBeCloseTo(times, 12));
});
