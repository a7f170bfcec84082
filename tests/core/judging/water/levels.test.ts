import { describe, expect, it } from "vitest";
import { binned, headAt, putIn, risesIn } from "../../../../src/core/judging/water/levels.ts";

/** One reading a second. */
const curveOf = (seconds: number, head_Pa: (t: number) => number) => ({
  time_s: Float64Array.from({ length: seconds }, (_, t) => t),
  pressure_Pa: Float64Array.from({ length: seconds }, (_, t) => head_Pa(t)),
  air_C: null,
  ambient_Pa: null,
});

describe("the head at an instant", () => {
  it("is that of a straight fall, from both sides", () => {
    const falling = curveOf(600, (t) => 30_000 - 2 * t);
    expect(headAt(falling, 300)).toBeCloseTo(29_400, 0);
    expect(headAt(falling, 900)).toBeNull();
  });
});

describe("rises", () => {
  // A saw tooth by construction: down 400 Pa in 180 s, up again in 20 s, five times.
  const saw = curveOf(1100, (t) => 30_000 - (t % 200 < 180 ? (400 * (t % 200)) / 180 : 400 - (400 * ((t % 200) - 180)) / 20));
  it("are each top-up, by how much", () => {
    const rises = risesIn(binned(saw, 0, 1099), 1);
    expect(rises).toHaveLength(5);
    // Poured for 20 s while 400/180 Pa a second went on leaking: 444 Pa, and 5 · 444 Pa are 1000 s of that leak.
    const lost_Pa = putIn(saw, rises).reduce((sum, { rise_Pa }) => sum + rise_Pa, 0);
    expect(Math.abs(lost_Pa - 1000 * (400 / 180))).toBeLessThan(0.02 * lost_Pa);
  });

  it("are not made of swell or of the gauge's steps", () => {
    const swell = curveOf(1000, (t) => 30_000 + 10 * Math.sin(t / 7));
    const steps = curveOf(1000, (t) => 100 * Math.round((30_000 - t / 30 + 40 * Math.sin(t / 9)) / 100));
    expect(risesIn(binned(swell, 0, 999), 1)).toEqual([]);
    expect(risesIn(binned(steps, 0, 999), 100)).toEqual([]);
  });

  it("are none in nothing", () => expect(risesIn([], 1)).toEqual([]));
});
