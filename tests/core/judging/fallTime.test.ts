import { describe, expect, it } from "vitest";
import type { HoldCase } from "../../../src/core/judging/holdCase.ts";
import { judgeHold } from "../../../src/core/judging/verdict.ts";
import { curveOf, gaugeWith, limitsWith } from "../../support/pressureCurve.ts";

// ASTM-style: time the fall from 24 kPa by 6.9 kPa; a laminar leak takes ln(p0/(p0 − L))/K.
const limits = limitsWith({
  stop: "fixed-drop",
  test_Pa: 24_000,
  charge_Pa: 27_500,
  permittedDrop_Pa: 6900,
  hold_s: 300,
  startTolerance_Pa: 480,
});

function timed(fall_s: number, sign = 1) {
  const k = Math.log(24_000 / 17_100) / fall_s;
  const curve = curveOf((t) => sign * 24_000 * Math.exp(-k * (t - 500)), { from_s: 480, to_s: 900, noise_Pa: 8, resolution_Pa: 10 });
  const direction = sign > 0 ? "pressure" : "vacuum";
  const input: HoldCase = {
    curve,
    limits: { ...limits, direction, test_Pa: sign * 24_000, charge_Pa: sign * 27_500 },
    gauge: gaugeWith({ resolution_Pa: 10 }),
    rule: "simple",
    hold: { from_s: 500, to_s: 800 },
    settled: { charged_s: 100, lastAction_s: 400, served_s: 400, settled_s: 450, coming_Pa: 0, u_coming_Pa: 5, tooCoarse: false },
    incidents: [],
    phases: [],
    gaugeProven: null,
    interrupted: null,
    gross: null,
  };
  return judgeHold(input);
}

describe("time of the fall", () => {
  it.each([1, -1])("is the closed form within its uncertainty, in pressure and in vacuum (sign %d)", (sign) => {
    const { verdict, hold } = timed(240, sign);
    expect(Math.abs((hold.time_s ?? 0) - 240)).toBeLessThan(3 * (hold.u_time_s ?? 0));
    expect(hold.u_time_s).toBeLessThan(1);
    expect(verdict).toBe("fail");
  });

  it("is not known, and the test passed, when the pressure did not fall that far in the required time", () => {
    const { verdict, hold } = timed(360);
    expect(hold.time_s).toBeNull();
    expect(verdict).toBe("pass");
  });
});
