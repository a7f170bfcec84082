import { describe, expect, it } from "vitest";
import { allowedFor, type KitResult, KitWatch, REST_S } from "../../../src/core/gauges/kitWatch.ts";
import { gaugeWith } from "../../support/pressureCurve.ts";

const CHARGE_Pa = 11_000;

/** Pumped up in 40 s, then as `held_Pa` says of the seconds since; readings at 5 Hz in steps of 1 Pa. */
function watched(
  held_Pa: (since_s: number) => number,
  wishes: { sign?: 1 | -1; until_s?: number; allowed_Pa?: number; pumped_Pa?: number } = {},
): KitWatch {
  const { sign = 1, until_s = 900, allowed_Pa = null, pumped_Pa = CHARGE_Pa } = wishes;
  const watch = new KitWatch({
    target_Pa: sign * CHARGE_Pa,
    duration_s: 300,
    gauge: gaugeWith({ resolution_Pa: 1 }),
    allowed_Pa,
  });
  for (let i = 0; i < 5 * until_s && watch.phase !== "over"; i++) {
    const at_s = i / 5;
    const size_Pa = at_s < 40 ? (pumped_Pa * at_s) / 40 : held_Pa(at_s - 40);
    watch.reading(at_s, sign * Math.round(size_Pa));
  }
  return watch;
}

const resultOf = (watch: KitWatch): KitResult => {
  if (watch.result === null) throw new Error(`no result, but ${watch.phase}`);
  return watch.result;
};

describe("a kit check", () => {
  it("passes a tight kit, for pressure and for vacuum", () => {
    for (const sign of [1, -1] as const) {
      const { passed, drop_Pa, start_Pa, lost } = resultOf(watched(() => CHARGE_Pa, { sign }));
      expect([passed, lost]).toEqual([true, false]);
      expect(drop_Pa).toBeCloseTo(0, 1);
      expect(start_Pa).toBeCloseTo(CHARGE_Pa, 0);
    }
  });

  // A straight fall: 300 s of it are the drop, whatever came before.
  it.each([
    [0.3, 90, true],
    [0.5, 150, false],
  ])("a fall of %d Pa/s makes %d Pa", (slope_Pa_s, drop_Pa, passed) => {
    const result = resultOf(watched((since_s) => CHARGE_Pa - slope_Pa_s * since_s));
    expect(result.drop_Pa).toBeCloseTo(drop_Pa, -0.3);
    expect(result.passed).toBe(passed);
    expect(result.duration_s).toBe(300);
  });

  it("does not pass a rise as large, and takes another limit when told", () => {
    expect(resultOf(watched((since_s) => CHARGE_Pa + 0.08 * since_s)).passed).toBe(true);
    expect(resultOf(watched((since_s) => CHARGE_Pa - 0.3 * since_s, { allowed_Pa: 50 })).passed).toBe(false);
    const rising = resultOf(watched((since_s) => CHARGE_Pa - 200 + 0.05 * since_s, { allowed_Pa: 10 }));
    expect([rising.passed, rising.drop_Pa < 0]).toEqual([false, true]);
  });

  it("rests after a stroke of the pump in the hold and holds anew", () => {
    const once = watched((since_s) => (since_s < 250 ? CHARGE_Pa : CHARGE_Pa + 400), { until_s: 40 + 250 + REST_S - 5 });
    expect(once.phase).toBe("rest");
    const then = watched((since_s) => (since_s < 250 ? CHARGE_Pa : CHARGE_Pa + 400));
    expect(resultOf(then)).toMatchObject({ passed: true });
    expect(resultOf(then).start_Pa).toBeCloseTo(CHARGE_Pa + 400, 0);
  });

  it("is lost when half of the charge is", () => {
    const result = resultOf(watched((since_s) => CHARGE_Pa * Math.exp(-since_s / 60)));
    expect(result).toMatchObject({ lost: true, passed: false });
    expect(result.duration_s).toBeLessThan(60);
  });

  it("waits for ever for a charge that does not come, and for a pump that has not been put down", () => {
    expect(watched(() => 0.9 * CHARGE_Pa, { pumped_Pa: 0.9 * CHARGE_Pa }).phase).toBe("charge");
    expect(watched(() => CHARGE_Pa, { until_s: 45 }).phase).toBe("charge");
    expect(watched(() => CHARGE_Pa, { until_s: 60 }).phase).toBe("rest");
  });
});

describe("what a kit may lose", () => {
  it("is the most of 10 Pa, a hundredth of the charge, 0.1 K and twice the uncertainty", () => {
    expect(allowedFor(CHARGE_Pa, 0)).toBe(110);
    // 0.1 K of 102 425 Pa at 293 K, by hand.
    expect(allowedFor(1100, 0)).toBeCloseTo(34.96, 1);
    expect(allowedFor(1100, 40)).toBe(80);
  });
});
