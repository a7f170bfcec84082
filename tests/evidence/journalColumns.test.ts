import { deflateRawSync } from "node:zlib";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { JournalEvent } from "../../src/core/journal.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import { journalColumns } from "../../src/evidence/journalColumns.ts";
import { journalRead } from "../../src/evidence/journalRead.ts";
import { closedLoop } from "../support/closedLoop.ts";
import { everyKind } from "../support/records.ts";

const anyStamp = fc.record({ at_ms: fc.integer({ min: -1e6, max: 2 ** 40 }), wall_ms: fc.integer({ min: -(2 ** 50), max: 2 ** 50 }) });
const anyBody = fc.oneof(
  fc.record({ kind: fc.constantFrom("bytes-in" as const, "bytes-sent" as const), bytes: fc.uint8Array({ maxLength: 300 }) }),
  fc.record({ kind: fc.constant("key" as const), action: fc.string({ unit: "grapheme" }) }),
  fc.record({ kind: fc.constant("zero" as const), zero_Pa: fc.double({ noNaN: true, noDefaultInfinity: true }).map((x) => x + 0) }),
  fc.record({ kind: fc.constant("end" as const), cause: fc.constant("user" as const), detail: fc.string() }),
  fc.constant({ kind: "wake" as const }),
);

describe("a journal as columns", () => {
  it("comes back as it was, to the last bit, whatever it holds", () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(anyBody, anyStamp), { maxLength: 60 }), fc.nat(1e6), (list, first) => {
        const events: JournalEvent[] = list.map(([body, stamp], i) => ({ ...body, ...stamp, seq: first + i }));
        expect(journalRead(journalColumns(events))).toEqual(events);
      }),
    );
    expect(journalRead(journalColumns(everyKind()))).toEqual(everyKind());
  });

  it("of a stranger is refused, never believed and never endless", () => {
    const whole = journalColumns(everyKind());
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 400 }), fc.nat(whole.length - 1), fc.integer({ min: 1, max: 255 }), (noise, at, by) => {
        const bent = whole.map((byte, i) => (i === at ? byte ^ by : byte));
        for (const bytes of [noise, bent, whole.subarray(0, at)]) {
          try {
            journalRead(bytes);
          } catch (error) {
            expect(error instanceof RangeError || error instanceof SyntaxError || error instanceof TypeError).toBe(true);
          }
        }
      }),
      { numRuns: 300 },
    );
    expect(() => journalRead(whole.subarray(0, whole.length - 1))).toThrow(RangeError);
  });

  it("takes two bytes a reading or fewer: 10 a second, noise of at most one count", async () => {
    const limits = limitsFor("en1610-la", { dn_mm: 150, material: "pvc", laid_length_m: 30 });
    for (const sim of ["leak=0.5&seed=7&rate=10&noise=0.3&resolution=1", "leak=0.9&seed=8&rate=10&noise=0.3&resolution=1&protocol=scpi"]) {
      const { journal, last } = await closedLoop({ sim, limits, keep: false });
      const packed = deflateRawSync(journalColumns(journal), { level: 9 });
      expect(last.judge.columns.length).toBeGreaterThan(5000);
      expect(packed.length / last.judge.columns.length).toBeLessThanOrEqual(2);
    }
  });
});
