import type { Curve } from "../../curve.ts";
import type { WaterLimits } from "../../methods/waterPlan.ts";
import type { RecordStart } from "../../record.ts";
import type { Incident } from "../holdCase.ts";
import type { Level } from "./levels.ts";

export interface TimedLitres {
  at_s: number;
  /** Water taken out counts below nothing. */
  litres: number;
}

/** All that a water test's verdict rests on. */
export interface WaterCase {
  start: RecordStart;
  water: WaterLimits;
  /** As the gauge gave it; empty where the crew types the head. */
  curve: Curve;
  /** Heads typed by the crew. */
  stated: readonly Level[];
  entries: readonly TimedLitres[];
  keyed: boolean;
  /** Litres come from the head in the standpipe. */
  read: boolean;
  target_Pa: number | null;
  charged_s: number | null;
  hold: { from_s: number; to_s: number } | null;
  /** When the crew said, after the time was up, that the level was back at its mark. */
  back_s: number | null;
  incidents: readonly Incident[];
  interrupted: string | null;
}
