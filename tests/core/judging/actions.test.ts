import { describe, expect, it } from "vitest";
import { pumpings, stepsIn, type Watched } from "../../../src/core/judging/actions.ts";
import { curveOf } from "../../support/pressureCurve.ts";

function watched(size_Pa: (t: number) => number, noise_Pa = 0.5, resolution_Pa = 1): Watched {
  const curve = curveOf(size_Pa, { to_s: 600, noise_Pa, resolution_Pa });
  return {
    time_s: Array.from(curve.time_s),
    size_Pa: Array.from(curve.pressure_Pa),
    test_Pa: 1000,
    permittedDrop_Pa: 250,
    sigma_Pa: Math.hypot(noise_Pa, resolution_Pa / Math.sqrt(12)),
    resolution_Pa,
    interval_s: 1,
  };
}

const cooling = (t: number): number => 786 * Math.exp(-0.0005 * t) + 314 * Math.exp(-t / 20);
const charged = (t: number): number => (t < 10 ? 0 : t < 45 ? (1100 * (t - 10)) / 35 : cooling(t - 45));

describe("pumping", () => {
  it("is found with its beginning, end and size; cooling, a leak and weather are not pumping", () => {
    const found = pumpings(watched((t) => charged(t) + 10 * Math.sin(t / 60)));
    expect(found).toHaveLength(1);
    expect(found[0]?.from_s).toBeCloseTo(10, -0.5);
    expect(found[0]?.to_s).toBe(45);
    expect(Math.abs((found[0]?.step_Pa ?? 0) - 1100)).toBeLessThan(12);
  });

  it("with pauses of 8 s, as with a hand pump, is one charging", () => {
    const strokes = (t: number): number => Math.min(1100, 100 * Math.floor(Math.max(0, t - 10) / 9));
    expect(pumpings(watched(strokes))).toHaveLength(1);
  });

  it("shows a later top-up apart, also on a gauge with steps of a twentieth of the test pressure", () => {
    const toppedUp = (t: number): number => (t < 300 ? charged(t) : Math.min(charged(300) + 30 * (t - 300), 1000));
    expect(pumpings(watched(toppedUp)).map((p) => Math.round(p.from_s / 10))).toEqual([1, 30]);
    expect(pumpings(watched((t) => (t < 300 ? charged(t) : Math.min(charged(300) + 30 * (t - 300), 1060)), 0, 50))).toHaveLength(2);
  });

  it("is nothing in a pipe that never came near the test pressure", () => {
    expect(pumpings(watched((t) => Math.min(t, 300)))).toEqual([]);
  });
});

describe("steps", () => {
  it("are found with their size; the bend of cooling is not a step", () => {
    expect(stepsIn(watched(cooling), 5, 600)).toEqual([]);
    const found = stepsIn(
      watched((t) => cooling(t) - (t > 200 ? 60 : 0)),
      5,
      600,
    );
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({ from_s: 200, to_s: 201 });
    expect(found[0]?.step_Pa).toBeCloseTo(-60, -1);
  });

  it("under a tenth of the permitted drop pass for weather", () => {
    expect(
      stepsIn(
        watched((t) => cooling(t) - (t > 200 ? 15 : 0)),
        5,
        600,
      ),
    ).toEqual([]);
  });

  it("include the release, from its last reading before to the emptied pipe", () => {
    const [opened] = stepsIn(
      watched((t) => (t < 400 ? cooling(t) : cooling(400) * 0.3 ** (t - 400))),
      5,
      600,
    );
    expect(opened?.from_s).toBe(400);
    expect(opened?.to_s).toBeGreaterThanOrEqual(402);
    expect(opened?.step_Pa).toBeLessThan(-550);
  });

  it("do not come out of wind", () => {
    expect(stepsIn(watched(cooling, 8), 5, 600)).toEqual([]);
  });
});

describe("a step beside steep cooling", () => {
  /** EN 1610 LD: topped up quickly, a warm wall's slow tail, a leak near the limit: steep, bent, and nothing happens. */
  const steep = (t: number): number => 20_000 * Math.exp(-0.0009 * t) + 700 * Math.exp(-t / 18) + 400 * Math.exp(-t / 70);
  const ld = (size_Pa: (t: number) => number): Watched => ({ ...watched(size_Pa), test_Pa: 20_000, permittedDrop_Pa: 1500 });

  it("is not seen in the cooling itself", () => {
    expect(stepsIn(ld(steep), 5, 300)).toEqual([]);
  });

  it("is seen where there is one, and does not swallow the minutes after it", () => {
    const found = stepsIn(
      ld((t) => steep(t) - (t >= 120 ? 400 : 0)),
      5,
      300,
    );
    expect(found).toHaveLength(1);
    expect(found[0]?.from_s).toBeGreaterThanOrEqual(117);
    expect(found[0]?.to_s).toBeLessThanOrEqual(124);
  });
});
