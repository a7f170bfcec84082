/** What a water test needs to know of a section besides its DN, material and laid length. */
export interface WaterPlan {
  /** Test head at the top of the pipe at its upper end, Pa; `null`: any within the window, as the crew fills it. */
  head_Pa: number | null;
  /** How much lower the top of the pipe lies at the other end, m. */
  fall_m: number;
  branches: readonly { bore_mm: number; length_m: number }[];
  /** Chambers filled with the section; `height_m` of wall is wetted. */
  chambers: readonly { bore_mm: number; height_m: number }[];
  /** Bore of the upright pipe in which the level stands and is topped up, mm; then litres can be read from the head. */
  standpipe_mm: number | null;
}

export const NO_WATER_PLAN: WaterPlan = { head_Pa: null, fall_m: 0, branches: [], chambers: [], standpipe_mm: null };

/** What is tested; a standard's loss figures go by it. */
export type WaterPart = "pipelines" | "pipelines with chambers" | "chambers";

/** The part of a method's limits that only water has. Heads are those at the top of the pipe at its upper end, Pa. */
export interface WaterLimits {
  /** What it was worked out from, so that another method can be. */
  plan: WaterPlan;
  /** The unit the standard speaks of heads in. */
  unit: "kPa" | "mmH2O";
  low_Pa: number;
  high_Pa: number;
  /** The test head was told beforehand; else it is the head at which filling ended. */
  told: boolean;
  /** The level is kept within this of the test head, Pa. */
  band_Pa: number;
  /** The hold may be this much shorter or longer, s. */
  holdTolerance_s: number;
  part: WaterPart;
  litresPerM2: number;
  area_m2: number;
  permitted_L: number;
  /** Free surface on which the level stands, m²; `null`: not known, so that a change of level is no volume. */
  surface_m2: number | null;
  standpipe_mm: number | null;
}
