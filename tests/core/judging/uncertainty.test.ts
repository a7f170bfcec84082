import { describe, expect, it } from "vitest";
import { judgeHold } from "../../../src/core/judging/verdict.ts";
import type { GaugeFacts, PhaseSpan } from "../../../src/core/record.ts";
import { type CurveWishes, curveOf, gaugeWith, limitsWith } from "../../support/pressureCurve.ts";

/** A drop of 250 Pa of 250 Pa, so that it is always borderline. 300 s of hold at 100 s, one reading a second. */
function budget(readings: Partial<CurveWishes>, gauge: Partial<GaugeFacts> = {}, wander_Pa = 0, drop_Pa = 250) {
  const idle: PhaseSpan[] = [{ phase: "idle", from_s: 0, to_s: 30 }];
  const vent: PhaseSpan[] = [{ phase: "vent", from_s: 420, to_s: 480 }];
  const open = (t: number): boolean => t < 30 || t > 420;
  const { hold, remarks } = judgeHold({
    curve: curveOf((t) => (open(t) ? 0 : 1000 - (drop_Pa * (t - 100)) / 300) + (wander_Pa * t) / 480, { to_s: 480, ...readings }),
    limits: limitsWith(),
    gauge: gaugeWith({ resolution_Pa: readings.resolution_Pa ?? 0, ...gauge }),
    rule: "guarded",
    hold: { from_s: 100, to_s: 400 },
    settled: { charged_s: 40, lastAction_s: 60, served_s: 300, settled_s: 90, coming_Pa: 0, u_coming_Pa: 0, tooCoarse: false },
    incidents: [],
    phases: [...idle, ...vent],
    gaugeProven: null,
    interrupted: null,
    gross: null,
  });
  const figures = remarks.find((r) => r.code === "borderline")?.figures ?? {};
  const part = (name: string): number => figures[`u_${name}_Pa`] ?? Number.NaN;
  return { part, u_Pa: hold.u_drop_Pa ?? Number.NaN };
}

describe("the uncertainty of a drop, by its parts (JCGM 100:2008, 4.3 and 5.1.2)", () => {
  it("noise: a line through 51 readings, read off in its middle, knows the pressure to σ/√51; two of them make the drop", () => {
    const { part } = budget({ noise_Pa: 2 });
    // Windows of ± 25 s (a twelfth of the hold): 51 readings; correlation may add a little by chance.
    expect(part("noise")).toBeGreaterThan(0.85 * 2 * Math.sqrt(2 / 51));
    expect(part("noise")).toBeLessThan(1.6 * 2 * Math.sqrt(2 / 41));
  });

  it("correlated noise counts as fewer readings: each value held for four readings doubles the uncertainty", () => {
    const white = budget({ noise_Pa: 2 });
    const slow = curveHeld(4);
    expect(slow / white.part("noise")).toBeGreaterThan(1.5);
    expect(slow / white.part("noise")).toBeLessThan(2.7);
  });

  it("steps: without noise one reading is known to a step's 1/√12, more steps crossed make it better", () => {
    const { part } = budget({ resolution_Pa: 10 });
    // The window crosses 0.83 Pa/s × some 18 to 50 s: 1.5 to 4.2 steps; two ends.
    expect(part("steps")).toBeLessThanOrEqual((10 / Math.sqrt(12 * 1.5)) * Math.sqrt(2) + 0.01);
    expect(part("steps")).toBeGreaterThan((10 / Math.sqrt(12 * 5)) * Math.sqrt(2));
  });

  it("span and linearity: half-widths of rectangles, a/√3; span on the difference only", () => {
    const { part } = budget({ noise_Pa: 0.2 }, { accuracy_fraction: 0.01, accuracy_Pa: 2 });
    expect(part("span")).toBeCloseTo((0.01 * 250) / Math.sqrt(3), 1);
    expect(part("linearity")).toBeCloseTo(2 / Math.sqrt(3), 9);
  });

  it("timing: slope times 0.05 s", () => {
    expect(budget({ noise_Pa: 0.2 }).part("timing")).toBeCloseTo((250 / 300) * 0.05, 2);
  });

  it("zero: a wander of 9.6 Pa in 480 s is 6 Pa in the hold, as a rectangle's half-width", () => {
    const { part } = budget({ noise_Pa: 0.1 }, {}, 9.6, 256);
    expect(part("zero")).toBeCloseTo(6 / Math.sqrt(3), 1);
  });

  it("all of them add as squares", () => {
    const { part, u_Pa } = budget({ noise_Pa: 1, resolution_Pa: 1 }, { accuracy_fraction: 0.01, accuracy_Pa: 2 }, 4, 252);
    const parts = ["noise", "steps", "span", "linearity", "timing", "zero"].map(part);
    expect(u_Pa).toBeCloseTo(Math.sqrt(parts.reduce((sum, u) => sum + u * u, 0)), 9);
  });
});

/** The same noise, each deviate held for so many readings. */
function curveHeld(each: number): number {
  const flat = curveOf(() => 0, { to_s: 1000, noise_Pa: 2, seed: 3 });
  const noise = (t: number): number => flat.pressure_Pa[Math.floor(t / each)] ?? 0;
  const curve = curveOf((t) => 1000 - (250 * (t - 100)) / 300 + noise(t), { to_s: 419 });
  const { remarks } = judgeHold({
    curve,
    limits: limitsWith(),
    gauge: gaugeWith({ resolution_Pa: 0 }),
    rule: "guarded",
    hold: { from_s: 100, to_s: 400 },
    settled: { charged_s: 40, lastAction_s: 60, served_s: 300, settled_s: 90, coming_Pa: 0, u_coming_Pa: 0, tooCoarse: false },
    incidents: [],
    phases: [],
    gaugeProven: null,
    interrupted: null,
    gross: null,
  });
  return remarks.find((r) => r.code === "borderline")?.figures["u_noise_Pa"] ?? Number.NaN;
}
