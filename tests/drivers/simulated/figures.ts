import { startPipe, step } from "../../../drivers/simulated/pipe.ts";
import { simulatedSettings, type TestFigures } from "../../../drivers/simulated/settings.ts";
import type { PipeState } from "../../../drivers/simulated/state.ts";
import type { CrewAct } from "../../../src/core/driver.ts";

/** Figures of a low-pressure test of the lowest class, DN 150 × 50 m. */
export const LOW: TestFigures = { test_Pa: 1000, charge_Pa: 1100, permittedDrop_Pa: 250, hold_s: 300, dn_mm: 150, length_m: 50 };
/** 100 mbar, DN 300 × 50 m. */
export const HIGH: TestFigures = { test_Pa: 10_000, charge_Pa: 11_000, permittedDrop_Pa: 1500, hold_s: 240, dn_mm: 300, length_m: 50 };
/** A chamber under vacuum. */
export const VACUUM: TestFigures = { test_Pa: -33_900, charge_Pa: -33_900, permittedDrop_Pa: 3390, hold_s: 75, dn_mm: 1200, length_m: 3 };

/** A gauge without noise and with fine steps, so that checks see the physics. */
const FINE = { noise: "0", resolution: "0.001" } as const;

export const pipeOf = (options: Record<string, string> = {}, about = LOW, gauge_Pa = 0): PipeState =>
  startPipe(simulatedSettings({ ...FINE, ...options }, about), gauge_Pa);

/** Every state from here to `until_s`, the first included; `acts` at the sample after the time they are filed under. */
export function runTo(from: PipeState, until_s: number, acts: ReadonlyMap<number, CrewAct> = new Map()): PipeState[] {
  const states = [from];
  let state = from;
  while (state.time_s < until_s - 1e-9) {
    const act = acts.get(state.time_s);
    state = step(state, act === undefined ? [] : [act]);
    states.push(state);
  }
  return states;
}

/** The state at a time, of states taken at `rate` from time 0. */
export function stateAt(states: readonly PipeState[], time_s: number): PipeState {
  const found = states.find((state) => Math.abs(state.time_s - time_s) < 1e-6);
  if (found === undefined) throw new RangeError(`no sample at ${time_s} s`);
  return found;
}
