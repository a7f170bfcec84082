import { describe, expect, it } from "vitest";
import { HeldZero, heldZeroFor } from "../../../src/core/judging/heldZero.ts";

const AIR_Pa = 101_325;

/** Feeds ten readings a second of a pressure that is known as a function of time; what came out, by time. */
function fed(zero: HeldZero, to_s: number, pressure_Pa: (t: number) => number, from_s = 0): Map<number, number> {
  const out = new Map<number, number>();
  for (let i = Math.round(from_s * 10); i <= to_s * 10; i++) {
    const { pressure_Pa: taken } = zero.taken({ at_ms: i * 100, pressure_Pa: pressure_Pa(i / 10), unit: "Pa" });
    out.set(i / 10, taken ?? Number.NaN);
  }
  return out;
}

describe("the zero of an absolute gauge", () => {
  it("is the mean of the open gauge's first five seconds", () => {
    const zero = new HeldZero();
    fed(zero, 5, (t) => AIR_Pa + (Math.round(t * 10) % 2 === 0 ? 2 : -2));
    expect(zero.zero_Pa).toBeCloseTo(AIR_Pa, 0);
  });

  it("follows the barometer as long as the gauge lies open", () => {
    const zero = new HeldZero();
    // 3 hPa an hour, for half an hour before the crew begins.
    const out = fed(zero, 1800, (t) => AIR_Pa + (300 * t) / 3600);
    expect(zero.zero_Pa).toBeCloseTo(AIR_Pa + 150, 0);
    expect(Math.max(...[...out.values()].map(Math.abs))).toBeLessThan(1);
  });

  it("is held once a pressure is put on, however slowly it is pumped, and through all that follows", () => {
    const zero = new HeldZero();
    fed(zero, 60, () => AIR_Pa);
    const out = fed(zero, 600, (t) => AIR_Pa + Math.min(1000, 2 * (t - 60)), 60.1);
    expect(out.get(600)).toBeGreaterThan(998);
    const held_Pa = zero.zero_Pa;
    fed(zero, 700, () => AIR_Pa + 5, 600.1);
    expect(zero.zero_Pa).toBe(held_Pa);
  });

  it("is not thrown by one wild reading", () => {
    const zero = new HeldZero();
    fed(zero, 60, (t) => (t === 30 ? AIR_Pa + 5000 : AIR_Pa));
    fed(zero, 120, () => AIR_Pa + 1, 60.1);
    expect(zero.zero_Pa).toBeCloseTo(AIR_Pa + 1, 6);
  });

  it("leaves a reading without value alone, and gives way to a zero that is told", () => {
    const zero = new HeldZero();
    expect(zero.taken({ at_ms: 0, pressure_Pa: null, unit: null, status: "overload" }).pressure_Pa).toBeNull();
    zero.hold(AIR_Pa);
    expect(zero.taken({ at_ms: 100, pressure_Pa: AIR_Pa + 20, unit: null }).pressure_Pa).toBe(20);
    expect(zero.zero_Pa).toBe(AIR_Pa);
  });

  it("is for absolute gauges alone", () => {
    expect(heldZeroFor("vented")).toBeNull();
    expect(heldZeroFor("absolute")).not.toBeNull();
  });
});

it("is not taken from a pressure that no air has: an absolute gauge joined to a charged pipe shows nothing until it was in the open", () => {
  const zero = new HeldZero();
  const shown = (pressure_Pa: number, at_ms: number) => zero.taken({ at_ms, pressure_Pa, unit: "Pa" });
  expect(shown(112_300, 0)).toMatchObject({ pressure_Pa: null, status: "no-zero" });
  expect(zero.zero_Pa).toBeNull();
  expect(shown(101_300, 1000)).toMatchObject({ pressure_Pa: 0 });
  expect(shown(112_300, 2000)).toMatchObject({ pressure_Pa: 11_000 });
});
