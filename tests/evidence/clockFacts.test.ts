import { expect, it } from "vitest";
import { clockFacts } from "../../src/evidence/clockFacts.ts";
import { bytesIn } from "../support/records.ts";

it("tells the first and last stamps, and each step of the wall clock between two events", () => {
  const stepped = [bytesIn(0, 0), bytesIn(1, 100), bytesIn(2, 200), bytesIn(3, 300)].map((event) =>
    event.seq < 2 ? event : { ...event, wall_ms: event.wall_ms - 3_600_000 },
  );
  expect(clockFacts(stepped)).toEqual({
    start: { at_ms: 0, wall_ms: stepped[0]?.wall_ms },
    end: { at_ms: 300, wall_ms: stepped[3]?.wall_ms },
    jumps: [{ seq: 2, by_ms: -3_600_000 }],
    jump_count: 1,
  });
});

it("is silent about rounding and slewing, and about nothing at all", () => {
  const slewed = Array.from({ length: 100 }, (_, i) => ({ ...bytesIn(i, i * 1000), wall_ms: i * 1000 + i * 5 }));
  expect(clockFacts(slewed).jump_count).toBe(0);
  expect(clockFacts([])).toEqual({ start: null, end: null, jumps: [], jump_count: 0 });
});

it("lists fifty steps and counts the rest", () => {
  const wild = Array.from({ length: 200 }, (_, i) => ({ ...bytesIn(i, i), wall_ms: (i % 2) * 5000 }));
  const { jumps, jump_count } = clockFacts(wild);
  expect([jumps.length, jump_count]).toEqual([50, 199]);
});
