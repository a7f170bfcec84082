import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { cleanCurve } from "../../../src/core/judging/clean.ts";
import { pick } from "../../../src/core/judging/spikes.ts";
import { curveOf } from "../../support/pressureCurve.ts";

const leaking = (t: number): number => 1000 * Math.exp(-0.001 * t);

describe("cleaning a recording", () => {
  it("leaves a good one alone", () => {
    const raw = curveOf(leaking, { to_s: 300, resolution_Pa: 1, noise_Pa: 1 });
    const cleaned = cleanCurve(raw, null);
    expect(cleaned.curve).toEqual(raw);
    expect(cleaned.incidents).toEqual([]);
    expect(cleaned.notes).toEqual({ duplicates: 0, outOfOrder: 0, spikes: [] });
    expect(cleaned.resolution_Pa).toBe(1);
  });

  it("puts readings in order, keeps the first of each stamp, counts both", () => {
    const good = curveOf(leaking, { to_s: 100 });
    const raw = pick(good, [0, 1, 3, 2, 4, 4, 5, 6, ...Array.from({ length: 94 }, (_, i) => i + 7)]);
    const cleaned = cleanCurve(raw, null);
    expect(cleaned.curve).toEqual(good);
    expect(cleaned.notes).toMatchObject({ duplicates: 1, outOfOrder: 1 });
  });

  it("drops what is no number and carries the other columns along", () => {
    const raw = curveOf(leaking, { to_s: 50, air_C: (t) => t });
    raw.pressure_Pa[10] = Number.NaN;
    const { curve } = cleanCurve(raw, null);
    expect(curve.time_s).toHaveLength(50);
    expect(curve.air_C?.[10]).toBe(11);
  });

  it("scales a changed unit back and keeps the incident", () => {
    const raw = curveOf((t) => leaking(t) * (t >= 150 ? 0.01 : 1), { to_s: 300 });
    const cleaned = cleanCurve(raw, 0.1);
    expect(cleaned.incidents).toEqual([{ kind: "unit-change", at_s: 150, factor: expect.closeTo(0.01, 9) }]);
    expect(cleaned.curve.pressure_Pa[200]).toBeCloseTo(leaking(200), 6);
  });

  it("takes anything that can stand in a file, and always gives rising times and finite pressures", () => {
    const reading = fc.record({ t: fc.double({ min: -1e6, max: 1e6, noNaN: true }), p: fc.double({ min: -1e6, max: 1e6 }) });
    fc.assert(
      fc.property(fc.array(reading, { maxLength: 200 }), (readings) => {
        const raw = {
          time_s: Float64Array.from(readings, (r) => r.t),
          pressure_Pa: Float64Array.from(readings, (r) => r.p),
          air_C: null,
          ambient_Pa: null,
        };
        const { curve, notes } = cleanCurve(raw, null);
        expect(curve.time_s.every((t, i) => i === 0 || t > (curve.time_s[i - 1] ?? t))).toBe(true);
        expect(curve.pressure_Pa.every(Number.isFinite)).toBe(true);
        const usable = readings.filter((r) => Number.isFinite(r.p)).length;
        expect(curve.time_s.length + notes.duplicates + notes.spikes.length).toBe(usable);
      }),
    );
  });
});
