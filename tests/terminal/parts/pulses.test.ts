import { beforeEach, describe, expect, test } from "vitest";
import { QueueClock } from "../../../src/links/queueClock.ts";
import { type Pulses, pulses } from "../../../src/terminal/parts/pulses.ts";

let clock = new QueueClock();
let strokes: number[] = [];
let bell: Pulses = pulses(clock, () => {});

beforeEach(() => {
  clock = new QueueClock();
  strokes = [];
  bell = pulses(clock, (text) => {
    expect(text).toBe("\u0007");
    strokes.push(clock.now_ms());
  });
});

describe("strokes of the bell", () => {
  test("come at the gap that was set, at once first, and stop when silence is set", () => {
    bell.set(500);
    clock.runUntil(1600);
    bell.set(null);
    clock.runUntil(9000);
    expect(strokes).toEqual([0, 500, 1000, 1500]);
    expect(clock.nextDue_ms()).toBeNull();
  });

  test("follow a rate that changes at every frame, and are never put off by it", () => {
    for (let frame = 0; frame < 100; frame++) {
      bell.set(1000 + (frame % 7));
      clock.runUntil((frame + 1) * 100);
    }
    expect(strokes.length).toBe(10);
    expect(Math.max(...strokes.slice(1).map((at_ms, i) => at_ms - (strokes[i] ?? 0)))).toBeLessThanOrEqual(1010);
  });

  test("keep their distance when sound is turned off and on", () => {
    bell.set(2000);
    clock.runUntil(100);
    bell.set(null);
    bell.set(2000);
    clock.runUntil(2100);
    expect(strokes).toEqual([0, 2000]);
  });

  test("end with the screen", () => {
    bell.set(250);
    clock.runUntil(300);
    bell.stop();
    bell.stop();
    clock.runUntil(5000);
    expect(strokes).toEqual([0, 250]);
  });
});
