import type { UnitName } from "../units.ts";
import type { Told } from "./method.ts";
import type { WaterLimits } from "./waterPlan.ts";

/** A test method worked out for one section: plain figures, nothing left to look up. SI; vacuum pressures are negative. */
export interface Limits {
  method: { id: string; title: string; source: string };
  medium: "air" | "water";
  stop: "fixed-time" | "fixed-drop";
  direction: "pressure" | "vacuum";
  /** Pressure to pump to first; equals `test_Pa` when the method has no separate conditioning pressure. */
  charge_Pa: number;
  /** Shortest time at the charge pressure, seconds; 0 when the method names none. */
  settle_s: number;
  test_Pa: number;
  hold_s: number;
  permittedDrop_Pa: number;
  /** Set when the method is worded as a pressure that must remain; `permittedDrop_Pa` is then `test_Pa − floor_Pa` in size. */
  floor_Pa: number | null;
  boundary: "less-or-equal" | "less";
  /** Half-width of the band round `test_Pa` in which the clock may start. */
  startTolerance_Pa: number;
  /** Never to be exceeded; alarm above it. */
  top_Pa: number;
  dn_mm: number | null;
  material: string | null;
  laid_length_m: number | null;
  provenance: string;
  /** The calculation line by line, for an inspector. */
  working: string[];
  cautions: string[];
  /** The unit the standard speaks, where the figures alone would suggest another. */
  unit?: UnitName;
  /** Largest bore a plug or cover bears on, mm, where it is not `dn_mm`: thrust goes by it. */
  plugBore_mm?: number;
  /** Air the section holds with its branches, m³, where bore and every length were told. */
  volume_m3?: number;
  /** Where the code lets a hold be ended early as a pass, and when; absent: it must run its full time. */
  earlyAcceptance?: string;
  /** Pressure of groundwater outside the pipe for which the thresholds make no allowance: it hides leaks. Absent when none was told. */
  groundwater_Pa?: number;
  /** How much every threshold above has been raised against groundwater. */
  raisedBy_Pa?: number;
  /** A chamber tested by itself; `dn_mm` is its bore and `laid_length_m` its depth. */
  chamber?: boolean;
  /** What else was told of the section, so that another method can be worked out for it later. */
  told?: Told;
  /** Set for tests with water: their head window and litres. */
  water?: WaterLimits;
}

/** +1 for pressure above atmosphere, −1 for vacuum: multiply a gauge pressure by it to get the size of the charge. */
export const signOf = (limits: Pick<Limits, "direction">): 1 | -1 => (limits.direction === "vacuum" ? -1 : 1);
