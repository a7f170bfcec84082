import { describe, expect, it } from "vitest";
import { driftOf } from "../../../src/core/judging/drift.ts";
import { curveOf, gaugeWith } from "../../support/pressureCurve.ts";

const hold = { from_s: 100, to_s: 400 };
const clean = { from_s: 0, to_s: 500 };

describe("weather's share of the drop", () => {
  // Ideal gas at 288 K and 101 325 Pa: (P/T) per kelvin, worked by hand.
  it.each([
    [1000, 355],
    [10_000, 387],
    [20_000, 421],
  ])("at %d Pa a kelvin of cooling adds %d Pa", (test_Pa, share_Pa) => {
    const curve = curveOf(() => test_Pa, { to_s: 500, air_C: (t) => 14.85 - (t - 100) / 300, ambient_Pa: () => 101_325 });
    const { temperature } = driftOf(curve, 1, gaugeWith(), hold, clean);
    expect(temperature?.share_Pa).toBeCloseTo(share_Pa, -0.5);
  });

  it("turns round for a vacuum: a kelvin of warming takes 234 Pa of 33.9 kPa, a rising barometer adds to it", () => {
    const curve = curveOf(() => -33_900, { to_s: 500, air_C: (t) => 14.85 + (t - 100) / 300, ambient_Pa: (t) => 101_325 + (t - 100) / 3 });
    const { temperature, barometer } = driftOf(curve, -1, gaugeWith(), hold, clean);
    expect(temperature?.share_Pa).toBeCloseTo(234, -0.5);
    expect(barometer?.share_Pa).toBeCloseTo(-100, 0);
  });

  it("a barometer rising by 1 hPa reads as 100 Pa lost, on a vented gauge only", () => {
    const curve = curveOf(() => 1000, { to_s: 500, ambient_Pa: (t) => 100_000 + (t - 100) / 3 });
    expect(driftOf(curve, 1, gaugeWith(), hold, clean).barometer?.share_Pa).toBeCloseTo(100, 0);
    expect(driftOf(curve, 1, gaugeWith({ reference: "absolute" }), hold, clean).barometer).toBeNull();
  });

  it("is unknown without the columns, or with empty ones", () => {
    expect(
      driftOf(
        curveOf(() => 1000, { to_s: 500 }),
        1,
        gaugeWith(),
        hold,
        clean,
      ),
    ).toEqual({
      air_K: null,
      ambient_Pa: null,
      temperature: null,
      barometer: null,
    });
    const empty = curveOf(() => 1000, { to_s: 500, air_C: () => Number.NaN });
    expect(driftOf(empty, 1, gaugeWith(), hold, clean).temperature).toBeNull();
  });

  it("does not look past the release", () => {
    const curve = curveOf(() => 1000, { to_s: 500, air_C: (t) => (t > 401 ? 5 : 15) });
    expect(driftOf(curve, 1, gaugeWith(), hold, { from_s: 0, to_s: 401 }).air_K?.change).toBe(0);
  });
});
