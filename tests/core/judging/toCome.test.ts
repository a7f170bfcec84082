import { describe, expect, it } from "vitest";
import { cleanCurve } from "../../../src/core/judging/clean.ts";
import { historyOf } from "../../../src/core/judging/history.ts";
import { between, meet, ToCome } from "../../../src/core/judging/toCome.ts";
import { curveOf, limitsWith, wholeTest } from "../../support/pressureCurve.ts";

const limits = limitsWith();

function newest(leak: number, noise_Pa = 0.7) {
  const test = wholeTest({ limits, leak, topUpTo_Pa: 1080, openAfter_s: 500, tau_s: 25 });
  const cleaned = cleanCurve(curveOf(test.pressure_Pa, { to_s: test.end_s, noise_Pa, resolution_Pa: 1 }), 1);
  const history = historyOf(cleaned, limits);
  const stretch = history.stretches.at(-1);
  if (!stretch) throw new Error("nothing was pumped");
  return { history, stretch, at: (after_s: number) => new ToCome(history, limits, stretch, null).at(stretch.from_s + after_s) };
}

describe("the transient still to come, with hindsight", () => {
  it("is not known while the hose still shows", () => {
    expect(newest(0).at(2)).toBeNull();
  });

  // The simulated air gives back 2/7 of the charge, dying with the time constant handed in: a closed form, so both ends can be checked.
  it.each([0, 0.5, 0.9])("dies down with the air's time constant, beside a leak of %f of the limit as well", (leak) => {
    const early = newest(leak).at(20)?.coming;
    const late = newest(leak).at(120)?.coming;
    expect(early?.coming_Pa).toBeGreaterThan(0);
    expect(Math.abs(late?.coming_Pa ?? 99)).toBeLessThan(25);
    expect(late?.high_Pa).toBeLessThan(early?.high_Pa ?? 0);
  });

  it("never allows more than physics does: what every action can still give back, dying at three times the guess", () => {
    const { history, at, stretch } = newest(0.5, 8);
    const given = [history.charge, ...history.actions].filter((a) => a !== null && a.to_s <= stretch.from_s);
    const most_Pa = given.reduce((sum, a) => sum + (0.4 / 1.4) * Math.abs(a?.step_Pa ?? 0), 0);
    expect(at(30)?.unfitted.high_Pa).toBeLessThanOrEqual(most_Pa);
    expect(at(30)?.unfitted.low_Pa).toBeCloseTo(0, 9);
  });
});

describe("two bounds", () => {
  it("meet in what both allow; the best estimate is kept as far as it is allowed", () => {
    expect(meet({ coming_Pa: 30, u_Pa: 10, high_Pa: 46, low_Pa: 14 }, between(-5, 25))).toMatchObject({
      low_Pa: 14,
      high_Pa: 25,
      coming_Pa: 25,
    });
  });

  it("that contradict each other leave the first", () => {
    expect(meet(between(40, 60), between(0, 20))).toEqual(between(40, 60));
  });
});
