import { describe, expect, it } from "vitest";
import { cleanCurve } from "../../../src/core/judging/clean.ts";
import { historyOf } from "../../../src/core/judging/history.ts";
import { candidatesOf } from "../../../src/core/judging/holdSearch.ts";
import { type CrewWishes, curveOf, limitsWith, wholeTest } from "../../support/pressureCurve.ts";

const limits = limitsWith();

function search(wishes: Omit<CrewWishes, "limits">) {
  const test = wholeTest({ limits, ...wishes });
  const cleaned = cleanCurve(curveOf(test.pressure_Pa, { to_s: test.end_s, noise_Pa: 0.7, resolution_Pa: 1 }), 1);
  const found = candidatesOf(cleaned, historyOf(cleaned, limits), limits);
  const told = found.holds[found.told];
  if (!told) throw new Error("no hold");
  return { ...found, first: told, start_Pa: test.pressure_Pa(told.hold.from_s), length_s: told.hold.to_s - told.hold.from_s };
}

describe("the hold a crew made", () => {
  it("starts at the test pressure, settled, after the settling time, and lasts as long as the method wants", () => {
    const { holds, first, start_Pa, length_s } = search({ leak: 0.6, topUpTo_Pa: 1150, openAfter_s: 450 });
    expect(holds).toHaveLength(1);
    expect(Math.abs(start_Pa - 1000)).toBeLessThan(3);
    expect(length_s).toBeCloseTo(300, 0);
    expect(first.settled.settled_s).toBeLessThanOrEqual(first.hold.from_s);
    expect(first.settled.served_s).toBeGreaterThanOrEqual(300);
    expect(first.settled.lastAction_s).toBe(358);
    expect(first.meant).toBe(true);
  });

  it("over a tight pipe leaves the transient behind and stays clear of the release", () => {
    const { first } = search({ leak: 0, topUpTo_Pa: 1080, openAfter_s: 500 });
    expect(first.hold.from_s).toBeGreaterThan(380);
    expect(first.hold.to_s).toBeLessThan(849);
    expect(Math.abs(first.settled.coming_Pa ?? 99)).toBeLessThan(15);
  });

  it("cut short ends at the release", () => {
    const { first, length_s } = search({ leak: 0, topUpTo_Pa: 1080, openAfter_s: 250 });
    expect(first.hold.to_s).toBeGreaterThan(598);
    expect(length_s).toBeLessThan(250);
  });

  it("that could only start unsettled is offered at its largest drop, a settled one out of the band beside it", () => {
    const { holds, told } = search({ leak: 0.9, topUpTo_Pa: 1020, openAfter_s: 400 });
    expect(holds).toHaveLength(2);
    expect(told).toBe(1);
    expect(holds[0]?.settled.settled_s).toBeGreaterThan(holds[0]?.hold.from_s ?? 0);
    expect(holds[1]?.settled.settled_s).toBeLessThanOrEqual(holds[1]?.hold.from_s ?? 0);
  });

  it("without the settling time is still told, so that the reason can be given", () => {
    const { first } = search({ leak: 0.3, openAfter_s: 20 });
    expect(first.settled.served_s).toBeLessThan(300);
  });
});
