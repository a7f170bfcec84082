import { mean, sampleStandardDeviation } from "simple-statistics";
import { describe, expect, it } from "vitest";
import { estimateDrop } from "../../../src/core/judging/drop.ts";
import { type CurveWishes, curveOf, gaugeWith } from "../../support/pressureCurve.ts";

const K_PER_S = Math.log(1000 / 750) / 300;
const leaking = (t: number): number => 1000 * Math.exp(-K_PER_S * (t - 100));

function dropOf(
  wishes: Partial<CurveWishes>,
  clean = { from_s: 0, to_s: 500 },
  gauge = gaugeWith({ resolution_Pa: wishes.resolution_Pa ?? 0 }),
) {
  const { time_s, pressure_Pa } = curveOf(leaking, { to_s: 500, ...wishes });
  return estimateDrop({ time_s, size_Pa: pressure_Pa, gauge, hold: { from_s: 100, to_s: 400 }, clean, breaks_s: [] });
}

describe("drop", () => {
  it("is the closed form of a laminar leak, with readings on both sides of the boundaries and without", () => {
    expect(dropOf({}).drop_Pa).toBeCloseTo(250, 0);
    expect(Math.abs((dropOf({}, { from_s: 100, to_s: 400 }).drop_Pa ?? 0) - 250)).toBeLessThan(0.1);
  });

  it("is not short by slope × half a window, as a mean of the first and last 10 s would be", () => {
    const inside =
      mean(Array.from({ length: 11 }, (_, i) => leaking(100 + i))) - mean(Array.from({ length: 11 }, (_, i) => leaking(390 + i)));
    expect(inside).toBeLessThan(243);
    expect(dropOf({ noise_Pa: 0.5 }, { from_s: 100, to_s: 400 }).drop_Pa).toBeGreaterThan(249);
  });

  it.each([
    [0, 1],
    [1, 0.5],
    [5, 2],
  ])("has an uncertainty that 200 repetitions bear out (steps %d Pa, noise %d Pa)", (resolution_Pa, noise_Pa) => {
    const found = Array.from({ length: 200 }, (_, seed) => dropOf({ resolution_Pa, noise_Pa, seed: seed + 1 }));
    const scatter = sampleStandardDeviation(found.map((d) => d.drop_Pa ?? Number.NaN));
    const told = mean(found.map((d) => d.u_drop_Pa ?? Number.NaN));
    expect(Math.abs(mean(found.map((d) => d.drop_Pa ?? Number.NaN)) - 250)).toBeLessThan(0.3);
    expect(told / scatter).toBeGreaterThan(0.8);
    expect(told / scatter).toBeLessThan(2);
  });

  it("of a coarse gauge carries the gauge's steps: √2 · step/√12 for a reading that stands still", () => {
    const { time_s, pressure_Pa } = curveOf(() => 1000, { to_s: 500, resolution_Pa: 10 });
    const gauge = gaugeWith({ resolution_Pa: 10 });
    const found = estimateDrop({
      time_s,
      size_Pa: pressure_Pa,
      gauge,
      hold: { from_s: 100, to_s: 400 },
      clean: { from_s: 0, to_s: 500 },
      breaks_s: [],
    });
    expect(found.u_drop_Pa).toBeCloseTo((Math.SQRT2 * 10) / Math.sqrt(12), 2);
  });

  it("takes a gauge's span error on the difference only", () => {
    const exact = dropOf({ noise_Pa: 0.1 }).u_drop_Pa ?? 0;
    const inexact = dropOf({ noise_Pa: 0.1 }, undefined, gaugeWith({ resolution_Pa: 0, accuracy_fraction: 0.01 })).u_drop_Pa ?? 0;
    expect(Math.sqrt(inexact ** 2 - exact ** 2)).toBeCloseTo((0.01 * 250) / Math.sqrt(3), 1);
  });

  it("is unknown when a boundary has no reading near it", () => {
    const { time_s, pressure_Pa } = curveOf(leaking, { to_s: 380 });
    const found = estimateDrop({
      time_s,
      size_Pa: pressure_Pa,
      gauge: gaugeWith(),
      hold: { from_s: 100, to_s: 400 },
      clean: { from_s: 0, to_s: 400 },
      breaks_s: [],
    });
    expect(found.start?.size_Pa).toBeCloseTo(1000, 0);
    expect(found.end).toBeNull();
    expect(found.drop_Pa).toBeNull();
  });

  it("does not run a line across a step", () => {
    const { time_s, pressure_Pa } = curveOf((t) => leaking(t) - (t > 395 ? 100 : 0), { to_s: 500 });
    const found = estimateDrop({
      time_s,
      size_Pa: pressure_Pa,
      gauge: gaugeWith(),
      hold: { from_s: 100, to_s: 400 },
      clean: { from_s: 0, to_s: 500 },
      breaks_s: [395],
    });
    expect(found.drop_Pa).toBeCloseTo(350, 0);
  });
});
