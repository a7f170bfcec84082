import { describe, expect, it } from "vitest";
import { stepsIn } from "../../../src/core/judging/actions.ts";
import { comesBack, isEmptied, openedAtOnce, slowRelease } from "../../../src/core/judging/release.ts";
import type { Seen } from "../../../src/core/judging/watched.ts";
import { curveOf } from "../../support/pressureCurve.ts";

function seen(pressure_Pa: (t: number) => number, to_s = 500): Seen {
  const curve = curveOf(pressure_Pa, { to_s, noise_Pa: 1, resolution_Pa: 1 });
  const size_Pa = Array.from(curve.pressure_Pa);
  const common = { test_Pa: 1000, permittedDrop_Pa: 250, sigma_Pa: 1, resolution_Pa: 1, interval_s: 1 };
  return { time_s: Array.from(curve.time_s), size_Pa, shown_Pa: size_Pa, ...common };
}

const leaking = (t: number): number => 1000 * Math.exp(-0.0007 * t);
const opened =
  (part: number) =>
  (t: number): number =>
    t < 400 ? leaking(t) : leaking(400) * part ** (t - 400);

describe("a pipe being opened", () => {
  it("is emptied; a trimmed or leaking one is not", () => {
    const valve = seen(opened(0.35));
    const [fall] = stepsIn(valve, 0, 500);
    if (!fall) throw new Error("no fall");
    expect(isEmptied(valve, fall)).toBe(true);
    const trimmed = seen((t) => leaking(t) - (t < 200 ? 0 : 80));
    const [bleed] = stepsIn(trimmed, 0, 500);
    if (!bleed) throw new Error("no bleed");
    expect(isEmptied(trimmed, bleed)).toBe(false);
  });

  it("stays empty; where a plug slipped and seated again the pressure comes back, however fast it fell", () => {
    const slipped = (pressure_Pa: (t: number) => number): boolean => {
      const [fall] = stepsIn(seen(pressure_Pa), 0, 500);
      return fall !== undefined && comesBack(seen(pressure_Pa), fall);
    };
    expect(slipped(opened(0.4))).toBe(false);
    expect(slipped(opened(0.02))).toBe(false);
    expect(slipped((t) => (t < 402 ? opened(0.1)(t) : 15 + 60 * (1 - Math.exp((402 - t) / 20))))).toBe(true);
  });

  it("that is large empties without a step: the fall quickens and goes on until nothing is left", () => {
    const large = seen((t) => (t < 400 ? leaking(t) : leaking(400) * Math.exp(-(t - 400) / 25)), 520);
    expect(stepsIn(large, 0, 520).some((f) => isEmptied(large, f))).toBe(false);
    expect(slowRelease(large, 40)?.from_s).toBeGreaterThan(395);
    expect(slowRelease(large, 40)?.from_s).toBeLessThan(405);
  });

  it("is not a gross leak, which slows down as it empties", () => {
    expect(
      slowRelease(
        seen((t) => 1000 * Math.exp(-t / 60)),
        0,
      ),
    ).toBeUndefined();
    expect(slowRelease(seen(leaking), 0)).toBeUndefined();
  });

  it("in the very seconds after the pump is seen as well", () => {
    const pumping = { from_s: 370, to_s: 400, step_Pa: 1000 };
    expect(openedAtOnce(seen(opened(0.5)), pumping)).toHaveLength(1);
    expect(openedAtOnce(seen(leaking), pumping)).toEqual([]);
  });
});
