import { describe, expect, it } from "vitest";
import type { TestFigures } from "../../../drivers/simulated/settings.ts";
import type { PipeState } from "../../../drivers/simulated/state.ts";
import { truth } from "../../../drivers/simulated/truth.ts";
import type { CrewAct } from "../../../src/core/driver.ts";
import { HIGH, LOW, pipeOf, runTo, stateAt, VACUUM } from "./figures.ts";

const SEEDS = ["1", "2", "3", "4", "5", "6", "7", "8"];
const asked = (...acts: [number, CrewAct][]): Map<number, CrewAct> => new Map(acts);

/** Charged by an obedient crew, told to wait as soon as it stops. */
function charged(about: TestFigures, options: Record<string, string>): { states: PipeState[]; doneAt_s: number } {
  const pumped = runTo(pipeOf(options, about), 400, asked([2, { act: "pump", to_Pa: about.charge_Pa }]));
  const done = pumped.find((state, i) => state.task === "none" && pumped[i - 1]?.task === "pump");
  if (done === undefined) throw new Error("never charged");
  const before = pumped.slice(0, pumped.indexOf(done) + 1);
  return { states: [...before, ...runTo(done, done.time_s + 120, asked([done.time_s, { act: "wait" }])).slice(1)], doneAt_s: done.time_s };
}

describe("obedient crew", () => {
  it("does nothing until it is asked to", () => {
    const end = runTo(pipeOf(), 600).at(-1);
    expect(end?.shown_Pa).toBe(0);
  });

  it.each(Object.entries({ LOW, HIGH, VACUUM }))(
    "pumps to the figure within 0.5 %% in about a minute, after some seconds: %s",
    (_, about) => {
      for (const seed of SEEDS) {
        const { states, doneAt_s } = charged(about, { seed, leak: "1" });
        expect(stateAt(states, 3).task).toBe("none");
        expect(doneAt_s).toBeGreaterThan(35);
        expect(doneAt_s).toBeLessThan(240);
        const reached = truth(stateAt(states, doneAt_s)).pipe_Pa / about.charge_Pa;
        expect(Math.abs(reached - 1)).toBeLessThan(0.0055);
      }
    },
  );

  it("charges in strokes with rests of seconds, while the tee shows the hose and not the pipe", () => {
    const { states, doneAt_s } = charged(LOW, { rate: "10" });
    const pumping = states.filter((state) => state.task === "pump" && state.time_s < doneAt_s);
    const strokes = pumping.filter((state, i) => state.stroke === "push" && pumping[i - 1]?.stroke === "return");
    expect(strokes.length).toBeGreaterThan(20);
    const gaps = strokes.map((state, i) => state.time_s - (strokes[i - 1]?.time_s ?? state.time_s));
    expect(Math.max(...gaps)).toBeGreaterThan(2.5);
    expect(Math.max(...gaps)).toBeLessThan(10);
    const high = pumping.filter((state) => state.tee_kg_s > 0);
    for (const state of high) expect(state.shown_Pa).toBeGreaterThan(truth(state).pipe_Pa);
    expect(Math.max(...high.map((state) => state.shown_Pa - truth(state).pipe_Pa))).toBeGreaterThan(20);
  });

  it("loses pressure to the wall after charging, less than the adiabatic 28.6 % of it", () => {
    const { states, doneAt_s } = charged(HIGH, {});
    const lost_Pa = stateAt(states, doneAt_s).shown_Pa - stateAt(states, doneAt_s + 120).shown_Pa;
    expect(lost_Pa).toBeGreaterThan(300);
    expect(lost_Pa).toBeLessThan(0.286 * 11_000);
  });

  it.each(Object.entries({ LOW, HIGH, VACUUM }))("bleeds to the figure within 0.5 %%, in one to five seconds: %s", (_, about) => {
    for (const seed of SEEDS) {
      const start = pipeOf({ seed, rate: "10" }, about, about.test_Pa * 1.08);
      const states = runTo(start, 20, asked([1, { act: "bleed", to_Pa: about.test_Pa }]));
      const bleeding = states.filter((state) => state.task === "bleed");
      expect(bleeding.length).toBeGreaterThan(10);
      expect(bleeding.length).toBeLessThan(50);
      const shut = stateAt(states, Number(((bleeding.at(-1)?.time_s ?? 0) + 0.2).toFixed(1)));
      expect(Math.abs(truth(shut).pipe_Pa / about.test_Pa - 1)).toBeLessThan(0.005);
      // What was bled away comes back in part as the air warms: at most 0.286 of it.
      const rebound = (truth(stateAt(states, 20)).pipe_Pa - truth(shut).pipe_Pa) / (about.test_Pa * 0.08);
      expect(rebound).toBeGreaterThan(0);
      expect(rebound).toBeLessThan(0.286);
    }
  });

  it("tops up by hundredths of the figure", () => {
    const states = runTo(pipeOf({}, LOW, 990), 15, asked([1, { act: "pump", to_Pa: 1008 }]));
    expect(Math.abs((states.at(-1)?.shown_Pa ?? 0) - 1008)).toBeLessThan(8);
  });

  it("stops pumping when told to wait", () => {
    const states = runTo(pipeOf({}, HIGH), 60, asked([1, { act: "pump", to_Pa: 11_000 }], [20, { act: "wait" }]));
    expect(stateAt(states, 20).task).toBe("pump");
    expect(stateAt(states, 22).task).toBe("none");
  });

  it("takes a changing figure for the same request, so that asking at every sample delays nothing", () => {
    const acts = new Map(Array.from({ length: 100 }, (_, i): [number, CrewAct] => [i / 5, { act: "pump", to_Pa: 1008 + i / 1000 }]));
    const states = runTo(pipeOf({}, LOW, 990), 20, acts);
    expect(states.find((state) => state.task === "pump")?.time_s).toBeLessThan(6);
  });

  it("opens the vent some seconds after it is asked, and the gauge follows the pipe down", () => {
    const states = runTo(pipeOf({ rate: "10" }, HIGH, 10_000), 60, asked([1, { act: "vent" }]));
    const opened_s = states.find((state) => state.ventOpen)?.time_s ?? Number.NaN;
    expect(opened_s).toBeGreaterThan(4);
    expect(opened_s).toBeLessThan(14);
    expect(stateAt(states, Number((opened_s + 1).toFixed(1))).shown_Pa).toBeGreaterThan(1000);
    expect(Math.abs(stateAt(states, 60).shown_Pa)).toBeLessThan(20);
  });

  it("gives up on a pipe that will not hold", () => {
    const states = runTo(pipeOf({ leak: "500" }, LOW), 500, asked([1, { act: "pump", to_Pa: 1100 }]));
    expect(states.at(-1)?.task).toBe("none");
    expect(Math.max(...states.map((state) => truth(state).pipe_Pa))).toBeLessThan(1000);
  });
});

describe("blocked hose", () => {
  it("reaches the figure at once, never follows the pipe and does not see the vent", () => {
    const acts = asked([1, { act: "pump", to_Pa: 1100 }], [30, { act: "bleed", to_Pa: 1000 }], [300, { act: "vent" }]);
    const states = runTo(pipeOf({ hose: "blocked", leak: "2", cooling: "5" }, LOW), 360, acts);
    expect(stateAt(states, 10).shown_Pa).toBeGreaterThan(1090);
    expect(truth(stateAt(states, 10)).pipe_Pa).toBeCloseTo(0, 1);
    expect(Math.abs(stateAt(states, 50).shown_Pa - 1000)).toBeLessThan(8);
    expect(stateAt(states, 360).ventOpen).toBe(true);
    expect(stateAt(states, 360).shown_Pa).toBeCloseTo(stateAt(states, 50).shown_Pa, 6);
  });
});

describe("crews that do not listen", () => {
  it("hasty: charges by itself, trims within a minute, vents after the hold", () => {
    const states = runTo(pipeOf({ crew: "hasty" }, LOW), 600, asked([1, { act: "wait" }], [2, { act: "hands-off" }]));
    const charge = states.find((state) => state.habit === 1);
    const trim = states.find((state) => state.habit === 3);
    const vent = states.find((state) => state.ventOpen);
    expect(charge?.time_s).toBeLessThan(9);
    expect((vent?.time_s ?? 0) - (trim?.time_s ?? 0)).toBeGreaterThan(300);
    expect((vent?.time_s ?? 0) - (trim?.time_s ?? 0)).toBeLessThan(330);
    const charged = states.filter((state) => state.task === "pump" && state.habit === 1).at(-1);
    expect((trim?.time_s ?? 0) - (charged?.time_s ?? 0)).toBeLessThan(42);
  });

  it("absent: charges by itself and never touches it again", () => {
    const states = runTo(pipeOf({ crew: "absent" }, LOW), 900, asked([600, { act: "vent" }]));
    expect(Math.max(...states.map((state) => state.shown_Pa))).toBeGreaterThan(1070);
    expect(stateAt(states, 900).shown_Pa).toBeGreaterThan(500);
    expect(states.filter((state) => state.time_s > 300).every((state) => state.task === "none" && !state.ventOpen)).toBe(true);
  });
});
