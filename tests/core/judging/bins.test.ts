import { describe, expect, it } from "vitest";
import { Bins } from "../../../src/core/judging/bins.ts";
import { normal } from "../../support/pressureCurve.ts";

const SCALE = { resolution_Pa: 1, test_Pa: 1000 };

/** Readings of `pressure` at `rate_Hz`, gathered. */
function gathered(pressure: (t: number) => number, to_s: number, rate_Hz = 5): Bins {
  const bins = new Bins(SCALE);
  for (let i = 0; i < to_s * rate_Hz; i++) bins.push(i / rate_Hz, pressure(i / rate_Hz));
  return bins;
}

describe("readings gathered by seconds", () => {
  it("are the means of time and pressure in each", () => {
    const bins = gathered((t) => 1000 - 2 * t, 10, 4);
    expect(bins.t_s.slice(0, 3)).toEqual([0.375, 1.375, 2.375]);
    expect(bins.p_Pa[2]).toBeCloseTo(1000 - 2 * 2.375, 9);
  });

  it("come out two seconds late, once each, at any rate", () => {
    for (const rate_Hz of [1, 5, 100]) expect(gathered(() => 500, 20, rate_Hz).length).toBe(18);
  });

  it("lose odd readings inside a second", () => {
    const bins = gathered((t) => (Math.abs(t - 5.2) < 0.01 ? 4000 : 1000), 10);
    expect(bins.p_Pa[5]).toBeCloseTo(1000, 9);
    expect(bins.mended).toBe(0);
  });

  it("put a whole odd second on the line between its neighbours, and count it", () => {
    const bins = gathered((t) => (Math.floor(t) === 20 ? 700 : 1000 - t), 40, 1);
    expect(bins.p_Pa[20]).toBeCloseTo(980, 9);
    expect(bins.mended).toBe(1);
  });

  it.each([
    ["a step", (t: number) => (t < 20 ? 1000 : 940)],
    ["a slope", (t: number) => 1000 - 25 * t],
    ["a dying transient", (t: number) => 1000 + 300 * Math.exp(-t / 15)],
    ["the foot of a charge", (t: number) => Math.max(0, 50 * (t - 20))],
  ])("leave %s as it is", (_, pressure) => {
    const bins = gathered(pressure, 40, 1);
    expect(bins.mended).toBe(0);
    expect(bins.p_Pa).toEqual(bins.t_s.map(pressure));
  });

  it("learn how rough it is, and do not take wind for odd seconds", () => {
    const deviate = normal(5);
    const bins = new Bins(SCALE);
    const blow = (from: number, to: number) => {
      for (let t = from; t < to; t++) bins.push(t, 1000 + 15 * deviate());
      return bins.mended;
    };
    const learning = blow(0, 100);
    expect(learning).toBeLessThan(15);
    expect(blow(100, 600) - learning).toBe(0);
  });

  it("hand on the last second when nothing follows it, and leave the gap empty", () => {
    const bins = gathered(() => 800, 10, 1);
    expect(bins.passed(9.5)).toBe(false);
    bins.passed(10);
    expect(bins.passed(13)).toBe(true);
    expect(bins.t_s).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
    expect(bins.passed(60)).toBe(false);
    for (let t = 60; t < 64; t++) bins.push(t, 790);
    expect(bins.t_s.slice(9)).toEqual([9, 60, 61]);
  });
});
