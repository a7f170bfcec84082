import { standardDeviation } from "simple-statistics";
import { describe, expect, it } from "vitest";
import { truth } from "../../../drivers/simulated/truth.ts";
import { LOW, pipeOf, runTo, stateAt, VACUUM } from "./figures.ts";

describe("simulated gauge", () => {
  it("shows whole steps of its resolution", () => {
    const states = runTo(pipeOf({ resolution: "10", noise: "3" }, LOW, 1000), 60).slice(1);
    for (const state of states) expect(state.shown_Pa % 10).toBeCloseTo(0, 9);
    expect(new Set(states.map((state) => state.shown_Pa)).size).toBeGreaterThan(1);
  });

  it("has the noise asked for", () => {
    const shown = runTo(pipeOf({ noise: "2" }, LOW, 1000), 1000)
      .slice(1)
      .map((state) => state.shown_Pa);
    expect(standardDeviation(shown)).toBeCloseTo(2, 0);
  });

  it("sees gusts at its vent, correlated and growing with the square of the wind, while the pipe stays still", () => {
    const gusts = (wind: string): number[] =>
      runTo(pipeOf({ wind }, LOW, 1000), 2000)
        .slice(1)
        .map((state) => state.shown_Pa);
    const weak = gusts("5");
    expect(standardDeviation(gusts("10")) / standardDeviation(weak)).toBeCloseTo(4, 3);
    const steps = weak.slice(1).map((x, i) => x - (weak[i] ?? x));
    // White noise would step by √2 of its own spread.
    expect(standardDeviation(steps) / standardDeviation(weak)).toBeLessThan(0.6);
    const end = runTo(pipeOf({ wind: "10" }, LOW, 1000), 60).at(-1);
    expect(end === undefined ? 0 : truth(end).pipe_Pa).toBeCloseTo(1000, 6);
  });
});

describe("faults", () => {
  it("topup: the pipe gains the pressure within a second, at its time, and loses 28.6 % of it again as it cools", () => {
    const states = runTo(pipeOf({ topup: "60:50" }, LOW, 1000), 400);
    expect(stateAt(states, 60).shown_Pa).toBeCloseTo(1000, 6);
    expect(stateAt(states, 61.2).shown_Pa).toBeCloseTo(1050, -0.5);
    expect(stateAt(states, 400).shown_Pa - 1000).toBeCloseTo(50 / 1.4, 0);
  });

  it("topup under vacuum deepens it", () => {
    expect(stateAt(runTo(pipeOf({ topup: "10:200" }, VACUUM, -33_900), 12), 12).shown_Pa).toBeLessThan(-34_050);
  });

  it("slip: the pipe loses the pressure at once, under vacuum too", () => {
    const states = runTo(pipeOf({ slip: "60:100" }, LOW, 1000), 60.4);
    expect(stateAt(states, 59.8).shown_Pa).toBeCloseTo(1000, 6);
    expect(stateAt(states, 60.2).shown_Pa).toBeCloseTo(900, -1);
    const vacuum = runTo(pipeOf({ slip: "60:100" }, VACUUM, -33_900), 60.4);
    expect(stateAt(vacuum, 60.2).shown_Pa).toBeCloseTo(-33_800, -1);
  });

  it("spikes: as many wild single readings as asked, from then on", () => {
    const states = runTo(pipeOf({ spikes: "60:5" }, LOW, 1000), 300);
    const wild = states.filter((state) => Math.abs(state.shown_Pa - 1000) > 100).map((state) => state.sample);
    expect(wild).toHaveLength(5);
    expect(wild[0]).toBe(300);
    expect(Math.min(...wild.slice(1).map((sample, i) => sample - (wild[i] ?? 0)))).toBeGreaterThan(1);
    expect(stateAt(states, 300).shown_Pa).toBeCloseTo(1000, 6);
  });

  it("takes several faults of a kind, and none touches another's chances", () => {
    const states = runTo(pipeOf({ topup: "20:10,10:10" }, LOW, 1000), 30);
    expect(stateAt(states, 15).shown_Pa).toBeGreaterThan(1007);
    expect(stateAt(states, 21.2).shown_Pa - stateAt(states, 20).shown_Pa).toBeGreaterThan(9);
    const plain = runTo(pipeOf({ noise: "1" }), 30).map((state) => state.shown_Pa);
    const silent = runTo(pipeOf({ noise: "1", silence: "10:5", wallclock: "12:60" }), 30).map((state) => state.shown_Pa);
    expect(silent).toEqual(plain);
  });
});
