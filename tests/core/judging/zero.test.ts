import { describe, expect, it } from "vitest";
import { evidenceOf } from "../../../src/core/judging/evidence.ts";
import type { HoldCase } from "../../../src/core/judging/holdCase.ts";
import { judgeHold } from "../../../src/core/judging/verdict.ts";
import { curveOf, gaugeWith, limitsWith } from "../../support/pressureCurve.ts";

/** Zero before 20 s, a hold of 300 s from 380 s, opened at 690 s; the gauge's zero wanders evenly by `wander_Pa` from 10 s to 720 s. */
function caseOf(drop_Pa: number, wander_Pa: number, running = 0, zeroDrift_Pa?: number): HoldCase {
  const true_Pa = (t: number): number => (t < 20 || t > 690 ? (t > 690 ? running * (740 - t) : 0) : 1000 - (drop_Pa * (t - 380)) / 300);
  return {
    curve: curveOf((t) => true_Pa(t) + (wander_Pa * (t - 10)) / 710, { to_s: 740, noise_Pa: 0.3, resolution_Pa: 0.1 }),
    limits: limitsWith(),
    gauge: { ...gaugeWith({ resolution_Pa: 0.1 }), ...(zeroDrift_Pa === undefined ? {} : { zeroDrift_Pa }) },
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
}

function judged(drop_Pa: number, wander_Pa: number, running = 0) {
  const input = caseOf(drop_Pa, wander_Pa, running);
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

describe("the zero's part of the uncertainty", () => {
  const HOLD = { from_s: 380, to_s: 680 };
  const zeroPart = (...told: Parameters<typeof caseOf>): number | undefined => evidenceOf(caseOf(...told), HOLD).drop.budget?.zero_Pa;

  // Rectangular, half-width as far as it moved in the hold: a/√3 (JCGM 100:2008, 4.3.7).
  it("is what was seen, by the hold's share of the time", () => {
    expect(zeroPart(200, 7.1, 0, 50)).toBeCloseTo((7.1 * 300) / 710 / Math.sqrt(3), 0);
  });

  it("is what the gauge usually does where this test did not show it, and nothing where nobody knows", () => {
    expect(zeroPart(200, 0, 0.3, 6)).toBeCloseTo(6 / Math.sqrt(3), 9);
    expect(zeroPart(200, 0, 0.3)).toBe(0);
  });

  it("comes with the zeros themselves, for whoever keeps them", () => {
    const { before_Pa, after_Pa } = evidenceOf(caseOf(200, 7.1), HOLD).zero;
    expect(before_Pa).toBeCloseTo(0, 0);
    expect(after_Pa).toBeCloseTo(7.1, 0);
    expect(evidenceOf(caseOf(200, 0, 0.3), HOLD).zero.after_Pa).toBeNull();
  });
});
