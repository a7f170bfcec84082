import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { addPoints, EMPTY_TRACE, extent, levelAt, stretches } from "../../../src/terminal/parts/trace.ts";

const line = (count: number, step_s: number) => Array.from({ length: count }, (_, i) => ({ at_s: i * step_s, pressure_Pa: i }));

describe("a curve kept for drawing", () => {
  test("stays bounded however long the test runs", () => {
    const trace = addPoints(EMPTY_TRACE, line(500_000, 0.1));
    expect(trace.buckets.length).toBeLessThanOrEqual(2048);
    expect(trace.buckets.length).toBeGreaterThan(1024);
    expect(extent(trace, 0, 50_000)).toEqual({ low_Pa: 0, high_Pa: 499_999 });
  });

  test("is the same in whatever portions the readings come", () => {
    const points = line(6000, 0.1);
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 2000 }), { maxLength: 6 }), (sizes) => {
        let trace = EMPTY_TRACE;
        let from = 0;
        for (const size of [...sizes, points.length]) {
          trace = addPoints(trace, points.slice(from, from + size));
          from += size;
        }
        expect(trace).toEqual(addPoints(EMPTY_TRACE, points));
      }),
    );
  });

  test("never changes the trace it was given", () => {
    const before = addPoints(EMPTY_TRACE, line(100, 0.1));
    const copy = structuredClone(before);
    addPoints(before, [{ at_s: 9.95, pressure_Pa: 1e6 }]);
    expect(before).toEqual(copy);
  });

  test("leaves out what is no figure, and counts a straggler to the last stretch", () => {
    const trace = addPoints(EMPTY_TRACE, [
      { at_s: 0, pressure_Pa: 5 },
      { at_s: 1, pressure_Pa: Number.NaN },
      { at_s: 2, pressure_Pa: 6 },
      { at_s: 1, pressure_Pa: 9 },
    ]);
    expect(stretches(trace, 0, 10)).toEqual([
      { from_s: 0, to_s: 0.25, low_Pa: 5, high_Pa: 5 },
      { from_s: 2, to_s: 2.25, low_Pa: 6, high_Pa: 9 },
    ]);
  });

  test("knows the level round an instant", () => {
    const trace = addPoints(EMPTY_TRACE, line(1000, 0.1));
    expect(levelAt(trace, 50)).toBeCloseTo(500, -1);
    expect(levelAt(trace, 500)).toBeNull();
  });
});
