import type { UnitName } from "../units.ts";
import type { Limits } from "./limits.ts";

/** What a method states itself; the rest is the same for all. */
export interface Stated {
  method: Limits["method"];
  medium?: Limits["medium"];
  stop?: Limits["stop"];
  charge_Pa: number;
  settle_s: number;
  test_Pa: number;
  hold_s: number;
  permittedDrop_Pa: number;
  floor_Pa?: number | null;
  boundary: Limits["boundary"];
  startTolerance_Pa?: number | null;
  provenance: string;
  working: string[];
  cautions?: string[];
  /** The unit the standard speaks, for the lines added here. */
  unit: UnitName;
  /** The standard's own ceiling, where it lies below 1.15 × charge. */
  most_Pa?: number;
  /** A top pressure stated outright. */
  top_Pa?: number;
  earlyAcceptance?: string;
  /** Several sizes in one test: refused unless the standard has its own rule, or its time does not go by size. */
  sizes?: "no-rule" | "own-rule" | "no-matter";
  /** Set by methods that know chambers; true when this section is one. */
  chamber?: boolean;
  /** The specification may state these. */
  permittedDropOpen?: boolean;
  testOpen?: boolean;
  /** Thresholds already raised by so much against groundwater. */
  raisedBy_Pa?: number;
  /** What the standard says of groundwater when it raises nothing. */
  groundwaterRule?: string;
}
