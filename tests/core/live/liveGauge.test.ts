import { setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { describe, expect, it } from "vitest";
import type { Reading, Reference } from "../../../src/core/driver.ts";
import { LiveGauge } from "../../../src/core/live/liveGauge.ts";
import { normal } from "../../support/pressureCurve.ts";

interface Wishes {
  to_s: number;
  rate_Hz?: number;
  noise_Pa?: number;
  volume_m3?: number | null;
  reference?: Reference;
  more?: Partial<Reading>;
}

function watched(
  pressure_Pa: (t: number) => number,
  { to_s, rate_Hz = 5, noise_Pa = 0.5, volume_m3 = null, reference = "vented", more }: Wishes,
) {
  const gauge = new LiveGauge({ reference, volume_m3 });
  const deviate = normal(3);
  gauge.time(0);
  gauge.link(true);
  for (let i = 1; i <= to_s * rate_Hz; i++) {
    const at_ms = Math.round((i * 1000) / rate_Hz);
    gauge.reading({ at_ms, pressure_Pa: pressure_Pa(at_ms / 1000) + noise_Pa * deviate(), unit: null, ...more });
  }
  return gauge;
}

describe("a gauge that is watched", () => {
  it("tells the leak in litres as a closed form has it", () => {
    // An exponential fall of K = 0.001 /s from 1000 Pa in 0.8 m³: at 60 s V·K·p/(p_a + p) with p = 941.8 Pa, by hand.
    const p = 1000 * Math.exp(-0.06);
    const { loss, quick } = watched((t) => 1000 * Math.exp(-0.001 * t), { to_s: 60, volume_m3: 0.8, noise_Pa: 0.05 }).view();
    const middle = 1000 * Math.exp(-0.055);
    expect(quick?.rate_Pa_s).toBeCloseTo(-0.001 * middle, 2);
    expect((loss?.rate_L_min ?? 0) / ((0.8 * 0.001 * middle * 60_000) / (101_325 + p))).toBeCloseTo(1, 2);
    expect((loss?.free_air_L_min ?? 0) / ((0.8 * 0.001 * middle * 60_000) / 101_325)).toBeCloseTo(1, 2);
    expect(loss?.plain).toBe(true);
  });

  it("uses the barometer it is told", () => {
    const at = (ambient_Pa: number) =>
      watched((t) => 1000 - t, { to_s: 30, volume_m3: 1, more: { ambient_Pa } }).view().loss?.free_air_L_min ?? 0;
    expect(at(80_000) / at(100_000)).toBeCloseTo(1.25, 6);
  });

  it("calls a rise no loss, but in a vacuum the rise is the loss", () => {
    const rising = watched((t) => 500 + 2 * t, { to_s: 30, volume_m3: 1 }).view().loss;
    expect(rising).toMatchObject({ plain: false, rate_L_min: null });
    const vacuum = watched((t) => -9000 + 2 * t, { to_s: 30, volume_m3: 1 }).view().loss;
    expect(vacuum?.loss_Pa_min).toBeCloseTo(120, 0);
    // 1 m³ · 2 Pa/s at an absolute pressure of 101 325 − 8940 Pa.
    expect(vacuum?.rate_L_min).toBeCloseTo((2 * 60_000) / (101_325 - 8940), 1);
  });

  it("does not call the noise of a tight pipe a leak", () => {
    const plain = Array.from({ length: 60 }, (_, k) => watched(() => 1000, { to_s: 20 + k, noise_Pa: 2 }).view().loss?.plain);
    expect(plain.filter((one) => one === true).length).toBeLessThanOrEqual(6);
  });

  it("measures noise and step", () => {
    const gauge = watched((t) => 10 * Math.round((1000 - t) / 10), { to_s: 120, noise_Pa: 0 });
    expect(gauge.view().noise).toMatchObject({ resolution_Pa: 10, undithered: true });
    const noisy = watched(() => 1000, { to_s: 120, noise_Pa: 2 }).view().noise;
    expect(noisy?.sigma_Pa).toBeGreaterThan(1.6);
    expect(noisy?.sigma_Pa).toBeLessThan(2.4);
  });

  it("keeps the largest loss of the last minute, and forgets it after", () => {
    const burst = (t: number): number => 2000 - (t < 30 ? 0 : t < 40 ? 10 * (t - 30) : 100);
    expect(watched(burst, { to_s: 60 }).view().loss?.largest_Pa_min).toBeGreaterThan(400);
    expect(watched(burst, { to_s: 160 }).view().loss?.largest_Pa_min).toBeLessThan(40);
  });

  it("takes its zero off all figures but not off the rate", () => {
    const gauge = watched(() => 40, { to_s: 20, noise_Pa: 0 });
    expect(gauge.takeZero()).toEqual({ zero_Pa: 40 });
    expect(gauge.view()).toMatchObject({ pressure_Pa: 0, zero: { zero_Pa: 40, at_s: 20 }, quick: { rate_Pa_s: 0 } });
    expect(gauge.recent().pressure_Pa.at(-1)).toBe(0);
  });

  it("shows no figure for what is old, no value, or a line that is down", () => {
    const gauge = watched(() => 40, { to_s: 20 });
    gauge.time(24_000);
    expect(gauge.view().stale).toBe(false);
    gauge.time(26_000);
    expect(gauge.view()).toMatchObject({ stale: true, quick: null, loss: null });
    gauge.reading({ at_ms: 26_100, pressure_Pa: null, unit: null, status: "overload" });
    expect(gauge.view()).toMatchObject({ pressure_Pa: null, status: "overload" });
    gauge.reading({ at_ms: 26_200, pressure_Pa: 41, unit: null });
    expect(gauge.view().stale).toBe(false);
    gauge.link(false);
    expect(gauge.view()).toMatchObject({ stale: true, health: { outages: 1, up: false } });
  });

  it("of an absolute sensor stands at nought once its zero is taken", () => {
    const gauge = watched(() => 101_200, { to_s: 10, reference: "absolute", noise_Pa: 0 });
    gauge.takeZero();
    expect(gauge.view().pressure_Pa).toBe(0);
  });
});

describe("a day of ten readings a second", () => {
  it("takes no more memory than its first hour", () => {
    setFlagsFromString("--expose-gc");
    const collect = runInNewContext("gc") as () => void;
    const gauge = new LiveGauge({ reference: "vented", volume_m3: 1 });
    gauge.link(true);
    let i = 0;
    const until = (hours: number): number => {
      for (; i < hours * 36_000; i++)
        gauge.reading({ at_ms: i * 100, pressure_Pa: 10_000 - i / 1000 + ((i * 7919) % 101) / 20, unit: null, air_C: 15 });
      collect();
      const { heapUsed, arrayBuffers } = process.memoryUsage();
      return heapUsed + arrayBuffers;
    };
    const first = until(1);
    // A list of the day's times and pressures alone would be 13 MB.
    expect(until(24) - first).toBeLessThan(2e6);
    expect(gauge.view()).toMatchObject({ readings: 864_000, gaps: { longest_ms: 100 } });
    expect(gauge.recent().time_s.length).toBe(600);
  });
});
