import { describe, expect, it, test } from "vitest";
import { GAP_EDGES_ms, Gaps } from "../../../src/core/live/gaps.ts";
import { barEnd, pulseGap_ms } from "../../../src/core/live/hunt.ts";
import { zeroFrom } from "../../../src/core/live/zeroing.ts";

const MM = 9.80665;

describe("the sound of a leak", () => {
  test.each([
    [0, null],
    [-30, null],
    [0.2, null],
    [0.25, 5000],
    [1, 2500],
    [4, 1250],
    [25, 500],
    [100, 250],
    [5000, 250],
  ])("%f mmH2O a minute: a stroke every %s ms", (loss, gap_ms) => {
    const found = pulseGap_ms(loss * MM);
    if (gap_ms === null) expect(found).toBeNull();
    else expect(found).toBeCloseTo(gap_ms, 6);
  });

  it("never rings for what is no number", () => expect(pulseGap_ms(Number.NaN)).toBeNull());
});

test.each([
  [0, 1],
  [0.4, 1],
  [1, 1],
  [1.01, 2],
  [5, 5],
  [5.01, 10],
  [99, 100],
  [101, 200],
  [1234, 2000],
])("a largest loss of %f ends the bar at %f", (largest, end) => expect(barEnd(largest)).toBeCloseTo(end, 9));

describe("arrival gaps", () => {
  it("are counted in their classes, upper edges out", () => {
    const gaps = new Gaps();
    for (const at_ms of [0, 4, 9, 109, 309, 9309]) gaps.reading(at_ms);
    const { counts, longest_ms, mean_ms } = gaps.view();
    expect(counts.map((count, i) => [GAP_EDGES_ms[i] ?? "more", count]).filter(([, count]) => count !== 0)).toEqual([
      [5, 1],
      [10, 1],
      [200, 1],
      [500, 1],
      ["more", 1],
    ]);
    expect({ longest_ms, mean_ms }).toEqual({ longest_ms: 9000, mean_ms: 9309 / 5 });
  });

  it("do not reach over an outage", () => {
    const gaps = new Gaps();
    gaps.reading(0);
    gaps.broken();
    gaps.reading(60_000);
    expect(gaps.view()).toMatchObject({ longest_ms: null, mean_ms: null });
  });
});

describe("a zero", () => {
  const shown = (...values: number[]) => ({ time_s: Float64Array.from(values, (_, i) => i), value: Float64Array.from(values) });

  it("is the median of the last five seconds", () => {
    expect(zeroFrom(shown(90, 90, 90, 3, 4, 5, 400, 4, 4), "vented")).toEqual({ zero_Pa: 4 });
  });

  it("is refused under pressure to a vented gauge, and to none with too few readings; an absolute one stands at the barometer", () => {
    expect(zeroFrom(shown(1000, 1000, 1000, 1000, 1000), "vented")).toEqual({ refused: "under-pressure", level_Pa: 1000 });
    expect(zeroFrom(shown(-600, -600, -600, -600, -600), "vented")).toMatchObject({ refused: "under-pressure" });
    expect(zeroFrom(shown(1, 1, 1, 1), "vented")).toMatchObject({ refused: "too-few" });
    expect(zeroFrom(shown(101_325, 101_325, 101_325, 101_325, 101_325), "absolute")).toEqual({ zero_Pa: 101_325 });
  });
});
