import type { Noise } from "../judging/noise.ts";
import type { GaugeHealth } from "../judging/view.ts";
import type { GapView } from "./gaps.ts";
import type { Rate } from "./rate.ts";

/** The zero in force. */
export interface ZeroTaken {
  zero_Pa: number;
  at_s: number;
}

/** What a loss is told as; positive when air is lost (a vacuum: let in). */
export interface Loss {
  loss_Pa_min: number;
  /** Standard uncertainty; `null` while unknown. */
  u_Pa_min: number | null;
  /** It stands out of the noise (more than twice its uncertainty). */
  plain: boolean;
  /** Largest of the last minute. */
  largest_Pa_min: number;
  /** At the present pressure, and as free air; `null` without size and length. */
  rate_L_min: number | null;
  free_air_L_min: number | null;
}

/** All that is known of a gauge with no test running; figures less the zero in force. */
export interface GaugeView {
  /** Seconds since the start. */
  at_s: number;
  /** The latest; `null` before the first, or when the gauge has no value. */
  pressure_Pa: number | null;
  pressureAt_s: number | null;
  /** The latest answer had no value, and why. */
  status: string | null;
  /** Nothing usable has come for long: the figure is old and must not be shown as a live one. */
  stale: boolean;
  zero: ZeroTaken | null;
  /** Over the last seconds, for hand and ear; and over the last minute. */
  quick: Rate | null;
  steady: Rate | null;
  loss: Loss | null;
  noise: Noise | null;
  air_C: number | null;
  ambient_Pa: number | null;
  gaps: GapView;
  health: GaugeHealth;
  readings: number;
}
