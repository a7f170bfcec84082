import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { curveBytes, curveFromBytes } from "../../../src/core/review/curveBytes.ts";
import { reviewCurve } from "../../support/review.ts";

describe("a curve as bytes", () => {
  const figure = fc.oneof(
    fc.double(),
    fc.integer({ min: -1e6, max: 1e6 }).map((n) => n / 10),
    fc.constantFrom(0, -0, Number.NaN, 1e300),
  );
  const column = (n: number) => fc.array(figure, { minLength: n, maxLength: n }).map((list) => Float64Array.from(list));

  it("comes back to the last bit, whatever was read", () => {
    const any = fc.nat(40).chain((n) => fc.tuple(column(n), column(n), fc.option(column(n)), fc.option(column(n))));
    fc.assert(
      fc.property(any, ([time_s, pressure_Pa, air_C, ambient_Pa]) => {
        const curve = { time_s, pressure_Pa, air_C, ambient_Pa };
        expect(curveFromBytes(curveBytes(curve))).toEqual(curve);
      }),
    );
  });

  it("that are torn or made up are refused and nothing else", () => {
    const whole = curveBytes(reviewCurve());
    for (let cut = 0; cut < whole.length; cut += 97) expect(() => curveFromBytes(whole.subarray(0, cut))).toThrow(RangeError);
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 60 }), (bytes) => {
        try {
          curveFromBytes(bytes);
        } catch (error) {
          expect(error).toBeInstanceOf(RangeError);
        }
      }),
    );
  });

  it("of a gauge with a fixed step takes four bytes a figure before deflating", () => {
    const { time_s, air_C } = reviewCurve();
    const curve = { time_s, pressure_Pa: time_s.map((_, i) => (i * 7) / 10), air_C, ambient_Pa: null };
    expect(curveBytes(curve).length).toBe(4 + 3 * (2 + 4 * time_s.length) + 1);
  });
});
