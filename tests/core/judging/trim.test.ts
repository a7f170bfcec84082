import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { HOSE_S } from "../../../src/core/judging/settling.ts";
import { type TrimCase, trimAdvice, waitAfter_s } from "../../../src/core/judging/trim.ts";

/** EN 1610 LA, DN 100: 1000 Pa ± 20 Pa, 25 Pa may still come. */
const AT_REST: TrimCase = {
  now_Pa: 1000,
  fall_Pa_s: 0,
  test_Pa: 1000,
  tolerance_Pa: 20,
  tau_s: 22,
  allowance_Pa: 25,
  pending_Pa: 0,
  shows_s: 130,
  charge_Pa: 1100,
};
/** Fall of a pipe that just loses the permitted 250 Pa in 300 s. */
const AT_THE_LIMIT = (1000 * Math.log(1000 / 750)) / 300;

const advice = (wishes: Partial<TrimCase>) => trimAdvice({ ...AT_REST, ...wishes });

describe("what is asked to reach the test pressure", () => {
  it.each<[string, Partial<TrimCase>, string]>([
    ["nothing in the band", {}, "wait"],
    ["nothing at its upper edge", { now_Pa: 1020 }, "wait"],
    ["nothing at its lower edge", { now_Pa: 980 }, "wait"],
    ["a top-up just below it", { now_Pa: 979 }, "pump"],
    ["a top-up after a cooled charge, the commonest trim", { now_Pa: 820 }, "pump"],
    ["a bleed from above when it does not fall", { now_Pa: 1080 }, "bleed"],
    ["a bleed when it even rises", { now_Pa: 1080, fall_Pa_s: -0.5 }, "bleed"],
    ["hands off when it falls in by itself soon", { now_Pa: 1040, fall_Pa_s: AT_THE_LIMIT }, "hands-off"],
    ["a bleed when that would take too long", { now_Pa: 1080, fall_Pa_s: 0.1 }, "bleed"],
  ])("%s", (_, wishes, asked) => expect(advice(wishes).do).toBe(asked));

  it("names a figure a little above the test pressure, more when it leaks", () => {
    const tight = advice({ now_Pa: 960 });
    const leaking = advice({ now_Pa: 960, fall_Pa_s: AT_THE_LIMIT });
    if (tight.do !== "pump" || leaking.do !== "pump") throw new Error("no top-up was asked for");
    expect(tight.to_Pa).toBeGreaterThan(1000);
    expect(tight.to_Pa).toBeLessThan(1020);
    expect(leaking.to_Pa - tight.to_Pa).toBeGreaterThan(0.8 * AT_THE_LIMIT * leaking.wait_s);
  });

  it("bleeds to a figure from which the air's own rise stays in the band while it waits", () => {
    const asked = advice({ now_Pa: 1090 });
    if (asked.do !== "bleed") throw new Error("no bleed was asked for");
    // Closed form: 0.7 (a bleed takes seconds) of the adiabatic 0.286 of it comes back, with the air's time constant.
    const back_Pa = 0.7 * (0.4 / 1.4) * (1090 - asked.to_Pa) * (1 - Math.exp(-asked.wait_s / AT_REST.tau_s));
    expect(asked.to_Pa).toBeGreaterThan(980);
    expect(asked.to_Pa + back_Pa).toBeGreaterThan(1000);
    expect(asked.to_Pa + back_Pa).toBeLessThan(1010);
  });

  const anyCase = fc.record({
    now_Pa: fc.double({ min: 100, max: 1300, noNaN: true }),
    fall_Pa_s: fc.double({ min: -2, max: 8, noNaN: true }),
    pending_Pa: fc.double({ min: 0, max: 100, noNaN: true }),
    tau_s: fc.double({ min: 20, max: 130, noNaN: true }),
  });

  it("never pumps above the charge pressure, never down; never bleeds up", () => {
    fc.assert(
      fc.property(anyCase, (wishes) => {
        const asked = advice(wishes);
        if (asked.do === "pump") {
          expect(asked.to_Pa).toBeLessThanOrEqual(AT_REST.charge_Pa);
          expect(asked.to_Pa).toBeGreaterThan(wishes.now_Pa);
        }
        if (asked.do === "bleed") expect(asked.to_Pa).toBeLessThan(wishes.now_Pa);
      }),
    );
  });

  // Outside reference: the pipe itself in closed form, y = leak + 0.286·0.7 of the step dying with τ.
  it.each([0, 0.5, 1, 2].map((x) => x * AT_THE_LIMIT))("brings a pipe losing %f Pa/s into the band when the wait is over", (fall_Pa_s) => {
    const now_Pa = 930;
    const asked = advice({ now_Pa, fall_Pa_s });
    if (asked.do !== "pump") throw new Error("no top-up was asked for");
    const back = 0.7 * (0.4 / 1.4) * (asked.to_Pa - now_Pa) * (1 - Math.exp(-asked.wait_s / AT_REST.tau_s));
    expect(Math.abs(asked.to_Pa - back - fall_Pa_s * asked.wait_s - AT_REST.test_Pa)).toBeLessThan(AT_REST.tolerance_Pa / 2);
  });
});

describe("the wait after a correction", () => {
  it("is the hose's own seconds and a step back when the rebound is small", () => {
    expect(waitAfter_s(50, AT_REST)).toBe(HOSE_S + 3);
    expect(waitAfter_s(-50, AT_REST)).toBe(HOSE_S + 3);
  });

  it("is what physics asks for a larger one, but no longer than the curve needs to show it", () => {
    // Closed form: 0.286 d e^(−t/3τ) = allowance.
    expect(waitAfter_s(140, AT_REST)).toBeCloseTo(3 * 22 * Math.log(40 / 25), 6);
    expect(waitAfter_s(1000, AT_REST)).toBe(130);
    expect(waitAfter_s(50, { ...AT_REST, pending_Pa: 30 })).toBeGreaterThan(HOSE_S + 3);
  });
});
