import { describe, expect, it } from "vitest";
import type { Curve } from "../../../src/core/curve.ts";
import { lookAlike } from "../../../src/core/judging/lookAlike.ts";
import { curveOf, limitsWith, normal, wholeTest } from "../../support/pressureCurve.ts";

const recorded = (seed: number, noise_Pa = 0.7, resolution_Pa = 1, leak = 0.5): Curve => {
  const test = wholeTest({ limits: limitsWith(), leak, topUpTo_Pa: 1150, openAfter_s: 450 });
  return curveOf(test.pressure_Pa, { to_s: test.end_s, noise_Pa, resolution_Pa, seed });
};

const changed = (curve: Curve, change: (p: number, i: number) => number): Curve => ({
  ...curve,
  pressure_Pa: curve.pressure_Pa.map(change),
});

describe("a curve that was seen before", () => {
  it("is the same reading for reading", () => {
    expect(lookAlike(recorded(1), recorded(1))).toMatchObject({ kind: "identical", equal_part: 1 });
  });

  it("raised by a constant, or cut at both ends, it still is", () => {
    const own = recorded(2);
    expect(
      lookAlike(
        own,
        changed(own, (p) => (p > 500 ? p + 12 : p)),
      )?.kind,
    ).toBe("identical");
    const cut: Curve = { ...own, time_s: own.time_s.subarray(100, 700), pressure_Pa: own.pressure_Pa.subarray(100, 700) };
    expect(lookAlike(cut, own)?.kind).toBe("identical");
    expect(lookAlike(own, cut)?.kind).toBe("identical");
  });

  it("scaled, bent by another leak, or with a little fresh noise on top it is nearly so", () => {
    const own = recorded(3, 2);
    const fresh = normal(77);
    expect(
      lookAlike(
        own,
        changed(own, (p) => 0.9 * p),
      )?.kind,
    ).toBe("near-identical");
    expect(
      lookAlike(
        own,
        changed(own, (p, i) => Math.round(p - 0.05 * i)),
      )?.kind,
    ).toBe("near-identical");
    expect(
      lookAlike(
        own,
        changed(own, (p) => Math.round(p + 0.5 * fresh())),
      )?.kind,
    ).toBe("near-identical");
  });

  it.each(Array.from({ length: 40 }, (_, k) => k))("is not found in independent ones: pair %d of the same pipe", (k) => {
    expect(lookAlike(recorded(100 + 2 * k), recorded(101 + 2 * k))).toBeNull();
    expect(lookAlike(recorded(100 + 2 * k, 0.3, 5), recorded(101 + 2 * k, 0.3, 5))).toBeNull();
    expect(lookAlike(recorded(100 + 2 * k, 8, 1), recorded(101 + 2 * k, 8, 1, 0.52))).toBeNull();
  });

  it("is not looked for in a handful of readings, nor where nothing moves", () => {
    expect(
      lookAlike(
        curveOf(() => 1000, { to_s: 60 }),
        curveOf(() => 1000, { to_s: 60 }),
      ),
    ).toBeNull();
    expect(
      lookAlike(
        curveOf(() => 1000, { to_s: 600 }),
        curveOf(() => 1000, { to_s: 600 }),
      ),
    ).toBeNull();
  });
});
