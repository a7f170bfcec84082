import { describe, expect, it } from "vitest";
import type { HoldCase } from "../../../src/core/judging/holdCase.ts";
import { judgeHold } from "../../../src/core/judging/verdict.ts";
import { curveOf, gaugeWith, limitsWith } from "../../support/pressureCurve.ts";

/** Zero before 20 s, a hold of 300 s from 380 s, opened at 690 s; the gauge's zero wanders evenly by `wander_Pa` from 10 s to 720 s. */
function judged(drop_Pa: number, wander_Pa: number, running = 0) {
  const true_Pa = (t: number): number => (t < 20 || t > 690 ? (t > 690 ? running * (740 - t) : 0) : 1000 - (drop_Pa * (t - 380)) / 300);
  const input: HoldCase = {
    curve: curveOf((t) => true_Pa(t) + (wander_Pa * (t - 10)) / 710, { to_s: 740, noise_Pa: 0.3, resolution_Pa: 0.1 }),
    limits: limitsWith(),
    gauge: gaugeWith({ resolution_Pa: 0.1 }),
    rule: "simple",
    hold: { from_s: 380, to_s: 680 },
    settled: { charged_s: 50, lastAction_s: 340, served_s: 330, settled_s: 370, coming_Pa: 0, u_coming_Pa: 1, tooCoarse: false },
    incidents: [],
    phases: [
      { phase: "idle", from_s: 0, to_s: 20 },
      { phase: "hold", from_s: 380, to_s: 680 },
      { phase: "vent", from_s: 690, to_s: 740 },
    ],
    gaugeProven: null,
    interrupted: null,
    gross: null,
  };
  const { verdict, reasons } = judgeHold(input);
  return [verdict, ...reasons.map((r) => r.code)].join(" ");
}

describe("a gauge whose zero wanders", () => {
  // Over a hold of 300 s of 710 s it hides or adds 300/710 of its wandering.
  it("upwards by enough to hide a fail voids a pass; downwards by enough to explain one voids a fail", () => {
    expect(judged(255, 0)).toBe("fail drop-over-limit");
    expect(judged(255, 19)).toBe("void zero-drift-decides");
    expect(judged(245, -19)).toBe("void zero-drift-decides");
    expect(judged(200, 19)).toBe("pass");
  });

  it("is not read off air that still runs out of an opened pipe", () => {
    expect(judged(245, 0, 0.3)).toBe("pass");
  });
});
