import { describe, expect, it } from "vitest";
import { withoutSpikes } from "../../../src/core/judging/spikes.ts";
import { chance, curveOf } from "../../support/pressureCurve.ts";

const settling = (t: number): number => 1000 + 300 * Math.exp(-t / 25);

describe("spikes", () => {
  it("are left out, single or in pairs, and told with their place; every other reading stays", () => {
    const curve = curveOf(settling, { to_s: 300, noise_Pa: 1, resolution_Pa: 1 });
    for (const i of [50, 120, 121, 250]) curve.pressure_Pa[i] = (curve.pressure_Pa[i] ?? 0) + 400;
    const found = withoutSpikes(curve, 1);
    expect(found.spikes.map((s) => s.at_s)).toEqual([50, 120, 121, 250]);
    expect(found.curve.time_s).toHaveLength(297);
  });

  it("are not seen in a pump's ramp, its corner, a plug's step, a release or plain noise", () => {
    const shapes = [
      (t: number) => Math.min(30 * t, 1100),
      (t: number) => (t < 40 ? 25 * t : 1000 + 286 * Math.exp(-(t - 40) / 20) - 286),
      (t: number) => (t < 100 ? 1000 : 940),
      (t: number) => (t < 100 ? 1000 : 1000 * 0.3 ** (t - 100)),
      () => 500,
    ];
    for (const shape of shapes) expect(withoutSpikes(curveOf(shape, { to_s: 200, noise_Pa: 1, resolution_Pa: 1 }), 1).spikes).toEqual([]);
  });

  it("as many as one in twelve do not hide each other", () => {
    const next = chance(9);
    const curve = curveOf(settling, { to_s: 1200, resolution_Pa: 1, noise_Pa: 0.5 });
    const struck = Array.from(curve.time_s.keys()).filter((i) => i > 3 && i < 1197 && next() < 1 / 12);
    for (const i of struck) curve.pressure_Pa[i] = (curve.pressure_Pa[i] ?? 0) * (next() < 0.5 ? 0.6 : 1.4);
    const found = new Set(withoutSpikes(curve, 1).spikes.map((s) => s.at_s));
    expect(struck.filter((i) => !found.has(i)).length).toBeLessThan(0.03 * struck.length);
  });

  it("gives back the same curve when there are none", () => {
    const curve = curveOf(settling, { to_s: 50 });
    expect(withoutSpikes(curve, 1).curve).toBe(curve);
  });
});
