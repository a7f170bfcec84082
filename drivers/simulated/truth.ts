import { pressureOf, R, REST_K } from "./air.ts";
import type { PipeState } from "./state.ts";
import { barometer_Pa } from "./weather.ts";

/** What no gauge shows; for checks of the judges only. */
export interface Truth {
  /** Multiple of the limit, as set. */
  leak: number;
  flow: "laminar" | "orifice";
  /** Laminar: m³ of free air a second and pascal; orifice: effective area in m². */
  coefficient: number;
  volume_m3: number;
  /** Gauge pressure in the pipe itself. */
  pipe_Pa: number;
  air_K: number;
  wall_K: number;
  barometer_Pa: number;
  ventOpen: boolean;
  /** Lost through the leak alone since the start, as pascal at rest temperature in pipe and hose as they were then; positive when charge was lost. */
  leaked_Pa: number;
}

export const truth = (state: PipeState): Truth => ({
  leak: state.plan.settings.leak,
  flow: state.plan.vessel.flow,
  coefficient: state.plan.vessel.leak,
  volume_m3: state.volume_m3,
  pipe_Pa: pressureOf(state) - barometer_Pa(state),
  air_K: state.air_K,
  wall_K: state.wall_K,
  barometer_Pa: barometer_Pa(state),
  ventOpen: state.ventOpen,
  leaked_Pa: (state.plan.sign * state.leaked_kg * R * REST_K) / (state.plan.volume_m3 + state.plan.hose.volume_m3),
});

/** Charge lost through the leak alone between two samples of one run, Pa at rest temperature: no heat, weather, plug or hand in it. */
export const trueLoss_Pa = (from: PipeState, to: PipeState): number => truth(to).leaked_Pa - truth(from).leaked_Pa;
