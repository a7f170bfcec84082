import { describe, expect, it } from "vitest";
import { Bins } from "../../../src/core/judging/bins.ts";
import { Flow } from "../../../src/core/judging/flow.ts";
import { normal } from "../../support/pressureCurve.ts";

const TAU_S = 22;

/** What is seen of a curve at 1 Hz while the crew is asked for nothing, or for air in or out. */
function seen(pressure: (t: number) => number, to_s: number, asked: -1 | 0 | 1 = 0, charged_s?: number) {
  const scale = { resolution_Pa: 1, test_Pa: 1000 };
  const bins = new Bins(scale);
  const flow = new Flow(scale, TAU_S);
  for (let t = 0; t < to_s; t++) {
    if (!bins.push(t, pressure(t))) continue;
    if (bins.length - 1 === charged_s) flow.note({ from_s: charged_s - 30, to_s: charged_s, step_Pa: 1100 }, charged_s);
    else flow.step(bins, bins.length - 1, asked);
  }
  return flow;
}

/** A fall of the limit's own size with a change of `step_Pa` from 60 s to 64 s. */
const moved = (step_Pa: number) => (t: number) => 1000 - 0.9 * t + step_Pa * Math.min(1, Math.max(0, (t - 60) / 4));

describe("air put in or let out", () => {
  it.each([
    [60, 1],
    [-60, -1],
    [15, 1],
    [-15, 0],
  ] as const)("%d Pa in four seconds is seen once, with its size and times", (step_Pa, asked) => {
    const { actions, moving } = seen(moved(step_Pa), 120, asked);
    expect(actions).toHaveLength(1);
    expect(Math.abs((actions[0]?.step_Pa ?? 0) - step_Pa)).toBeLessThan(4);
    expect(Math.abs((actions[0]?.from_s ?? 0) - 60)).toBeLessThanOrEqual(1);
    expect(Math.abs((actions[0]?.to_s ?? 0) - 64)).toBeLessThanOrEqual(2);
    expect(moving).toBe(false);
  });

  it("twice is seen twice: the trend starts anew after each", () => {
    const { actions } = seen((t) => moved(50)(t) - 50 * Math.min(1, Math.max(0, (t - 120) / 4)), 180);
    expect(actions.map(({ step_Pa }) => Math.sign(step_Pa))).toEqual([1, -1]);
  });

  it("is told while it goes on", () => {
    expect(seen(moved(60), 65, 1).moving).toBe(true);
    expect(seen(moved(60), 60, 1).moving).toBe(false);
  });
});

describe("what is not an action", () => {
  it("noise of the gauge", () => {
    for (let seed = 1; seed <= 20; seed++) {
      const deviate = normal(seed);
      expect(seen((t) => 1000 - 0.9 * t + 0.3 * deviate(), 400).actions).toEqual([]);
    }
  });

  it("wind, whose gusts go on for seconds: two hours of it bring a handful of small ones at most", () => {
    const taken: number[] = [];
    for (let seed = 1; seed <= 20; seed++) {
      const deviate = normal(seed);
      let gust = 0;
      const windy = () => {
        gust = 0.8 * gust + 0.6 * deviate();
        return 1000 + gust;
      };
      taken.push(...seen(windy, 400).actions.map(({ step_Pa }) => Math.abs(step_Pa)));
    }
    expect(taken.length).toBeLessThan(4);
    expect(Math.max(...taken)).toBeLessThan(5);
  });

  it.each([15, 22, 40])("the air cooling after the charge with %d s", (tau_s) => {
    // Closed form: 0.286 of the charge given back, dying exponentially.
    const cooling = (t: number) => (t < 30 ? (1100 * t) / 30 : 786 + 314 * Math.exp(-(t - 30) / tau_s));
    expect(seen(cooling, 300, 0, 30).actions).toHaveLength(1);
  });

  it.each([1, 3, 10])("a leak of %f times the limit", (x) => {
    expect(seen((t) => 1000 * Math.exp((-x * t * Math.log(1000 / 750)) / 300), 300).actions).toEqual([]);
  });
});
