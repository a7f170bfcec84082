import type { RecordStart } from "../../record.ts";
import type { Answer } from "./calls.ts";
import type { KeyedReading } from "./eye.ts";
import type { Touch } from "./stage.ts";

/** All that the verdict of a test read by eye rests on. */
export interface KeyedCase {
  start: RecordStart;
  readings: number;
  charged_s: number | null;
  hold: { from_s: number; to_s: number } | null;
  /** The readings of the hold, its start first; pressures as sizes. */
  held: readonly KeyedReading[];
  /** At or after the time of the hold; `null`: never given. */
  end: KeyedReading | null;
  touches: readonly Touch[];
  answers: readonly Answer[];
  zero_Pa: number | null;
  opened: KeyedReading | null;
  proven: boolean;
  /** Clocks that parted during the hold, s. */
  clockStep_s: number | null;
  interrupted: string | null;
  /** When the attempt ended, s. */
  over_s: number;
}
