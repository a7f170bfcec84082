import fc from "fast-check";
import { expect, it } from "vitest";
import { addPoints, type CurvePoint, EMPTY_TRACE } from "../../../src/terminal/parts/trace.ts";
import { traceIndex } from "../../../src/terminal/parts/traceIndex.ts";

it("is the trace that grew reading by reading, whatever was asked for before", () => {
  // 9000 points at 4 Hz outgrow the trace twice over, so that stretches have doubled on the way.
  const all: CurvePoint[] = Array.from({ length: 9000 }, (_, i) => ({ at_s: i / 4, pressure_Pa: 1000 * Math.sin(i / 90) }));
  const readings = { length: all.length, points: (from: number, to: number) => all.slice(from, to) };
  fc.assert(
    fc.property(fc.array(fc.integer({ min: 0, max: all.length }), { minLength: 1, maxLength: 12 }), (counts) => {
      const traceAt = traceIndex(readings);
      for (const count of counts) expect(traceAt(count)).toEqual(addPoints(EMPTY_TRACE, all.slice(0, count)));
    }),
    { numRuns: 40 },
  );
});
