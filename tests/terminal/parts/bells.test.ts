import { describe, expect, test } from "vitest";
import type { Bell } from "../../../src/core/judging/view.ts";
import { QueueClock } from "../../../src/links/queueClock.ts";
import { BELL_PATTERNS, bellRinger } from "../../../src/terminal/parts/bells.ts";

function belfry() {
  const clock = new QueueClock();
  const strokes: number[] = [];
  const ringer = bellRinger(clock, (text) => {
    expect(text).toBe("\u0007");
    strokes.push(clock.now_ms());
  });
  return { clock, strokes, ringer };
}

/** One stroke a `x`, a quarter of a second a place. */
const picture = (strokes: readonly number[]): string =>
  Array.from({ length: Math.max(...strokes) / 250 + 1 }, (_, i) => (strokes.includes(i * 250) ? "x" : "-")).join("");

describe("bell patterns in virtual time", () => {
  test.each([
    ["turn", "x"],
    ["alarm", "xxxxxxxx"],
    ["pass", "xxx---x"],
    ["fail", "x---x---x---x"],
    ["void", "xx---xx"],
  ] as const)("%s rings %s", (bell, drawn) => {
    const { clock, strokes, ringer } = belfry();
    ringer.ring(bell);
    clock.runUntil(10_000);
    expect(picture(strokes)).toBe(drawn);
  });

  test("ask rings twice, and no two patterns are alike", () => {
    const { clock, strokes, ringer } = belfry();
    ringer.ring("ask");
    clock.runUntil(10_000);
    expect(strokes).toEqual([0, 400]);
    expect(new Set(Object.values(BELL_PATTERNS).map(String)).size).toBe(6);
  });

  test("the first stroke needs no timer", () => {
    const { strokes, ringer } = belfry();
    ringer.ring("alarm");
    expect(strokes).toEqual([0]);
  });

  test("an alarm breaks into a pass; a turn does not break into an alarm", () => {
    const { clock, strokes, ringer } = belfry();
    ringer.ring("pass");
    clock.runUntil(300);
    ringer.ring("alarm");
    clock.runUntil(400);
    ringer.ring("turn");
    clock.runUntil(10_000);
    expect(strokes).toEqual([0, 250, ...[0, 1, 2, 3, 4, 5, 6, 7].map((i) => 300 + 250 * i)]);
  });

  test("after an alarm has rung out, a turn is heard again", () => {
    const { clock, strokes, ringer } = belfry();
    ringer.ring("alarm");
    clock.runUntil(5000);
    ringer.ring("turn");
    expect(strokes.at(-1)).toBe(5000);
  });

  test("stopped early, nothing rings on", () => {
    const { clock, strokes, ringer } = belfry();
    ringer.ring("fail" satisfies Bell);
    clock.runUntil(1500);
    ringer.stop();
    ringer.stop();
    clock.runUntil(10_000);
    expect(strokes).toEqual([0, 1000]);
    expect(clock.nextDue_ms()).toBeNull();
  });
});
