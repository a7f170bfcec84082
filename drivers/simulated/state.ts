import type { CrewAct } from "../../src/core/driver.ts";
import type { Gas } from "./air.ts";
import type { Streams } from "./dice.ts";
import type { Plan } from "./plan.ts";

/** The pipe, its gauge and its crew at one sample; flat, because one is made ten thousand times a test. */
export interface Live extends Gas, Streams {
  plan: Plan;
  /** Samples taken; `time_s` = sample / rate. */
  sample: number;
  time_s: number;
  /** At the tee where pump and gauge sit, absolute. */
  hose_Pa: number;
  /** Flow into the hose at the tee in the last short step, kg/s; negative when bleeding. */
  tee_kg_s: number;
  ventOpen: boolean;
  /** Thermometer in the pipe, with its own lag. */
  thermometer_K: number;
  gustFast_Pa: number;
  gustSlow_Pa: number;

  /** What the gauge shows, in pascal and in its steps. */
  shown_Pa: number;
  spikesLeft: number;
  nextSpike_s: number;
  /** Index of the next fault to begin. */
  nextFault: number;
  silentUntil_s: number;
  /** 0 pascal; otherwise the unit the gauge was switched to, 1 + size of the fault. */
  unitChoice: number;
  /** All steps of the wall clock so far, s. */
  wallSteps_s: number;
  topUpUntil_s: number;
  topUp_kg_s: number;

  /** What was asked and is not yet begun; and when it will be. */
  heard: CrewAct | null;
  heardDue_s: number;
  order: CrewAct | null;
  task: "none" | "pump" | "bleed";
  /** Gauge pressure the crew stops at, its own error of reading within. */
  aim_Pa: number;
  taskFrom_s: number;
  stroke: "push" | "return";
  strokeEnd_s: number;
  /** Strokes on end that ended with the needle at the figure. */
  atFigure: number;
  bleedFrom_Pa: number;
  bleedEnd_s: number;
  lookAgain_s: number;
  ventAt_s: number;
  /** How far a crew that follows its own head has come, and when it goes on. */
  habit: number;
  habitDue_s: number;
}

/** A sample's state; `step` makes the next one and leaves this one alone. */
export type PipeState = Readonly<Live>;

/** Nobody has touched anything yet; what a start adds depends on the settings. */
export const NOTHING_DONE: Omit<Live, keyof Gas | keyof Streams | "plan" | "hose_Pa" | "thermometer_K" | "habitDue_s"> = {
  sample: 0,
  time_s: 0,
  tee_kg_s: 0,
  ventOpen: false,
  gustFast_Pa: 0,
  gustSlow_Pa: 0,
  shown_Pa: 0,
  spikesLeft: 0,
  nextSpike_s: 0,
  nextFault: 0,
  silentUntil_s: 0,
  unitChoice: 0,
  wallSteps_s: 0,
  topUpUntil_s: 0,
  topUp_kg_s: 0,
  heard: null,
  heardDue_s: 0,
  order: null,
  task: "none",
  aim_Pa: 0,
  taskFrom_s: 0,
  stroke: "return",
  strokeEnd_s: 0,
  atFigure: 0,
  bleedFrom_Pa: 0,
  bleedEnd_s: 0,
  lookAgain_s: 0,
  ventAt_s: Number.POSITIVE_INFINITY,
  habit: 0,
};
