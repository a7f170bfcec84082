import { BAROMETER_Pa, REST_K } from "./air.ts";
import { normal } from "./dice.ts";
import type { Live } from "./state.ts";

/** The air outside, without gusts: what the leak and the vent see. */
export const barometer_Pa = (s: Live): number => BAROMETER_Pa + (s.plan.settings.barometer_hPa_h * 100 * s.time_s) / 3600;

export const ground_K = (s: Live): number => REST_K - (s.plan.settings.cooling_K_h * s.time_s) / 3600;

/** A tenth of the dynamic pressure of the wind comes and goes at a gauge's vent. [guess] */
const gustOf = (wind_m_s: number): number => 0.1 * 0.5 * 1.2 * wind_m_s ** 2;
const FAST_s = 1.5;
const SLOW_s = 12;

/** Gusts at the vent of the gauge: two first-order processes (Ornstein and Uhlenbeck) of equal power, stepped exactly. */
export function blow(s: Live, step_s: number): void {
  const { wind_m_s } = s.plan.settings;
  if (wind_m_s === 0) return;
  const each_Pa = gustOf(wind_m_s) * Math.SQRT1_2;
  s.gustFast_Pa = correlated(s, s.gustFast_Pa, each_Pa, step_s / FAST_s);
  s.gustSlow_Pa = correlated(s, s.gustSlow_Pa, each_Pa, step_s / SLOW_s);
}

const correlated = (s: Live, last: number, sd: number, steps: number): number =>
  last * Math.exp(-steps) + sd * Math.sqrt(1 - Math.exp(-2 * steps)) * normal(s, "weatherDice");
