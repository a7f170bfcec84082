import type { ZeroOutcome } from "../core/live/zeroing.ts";
import type { UnitName } from "../core/units.ts";
import { pressure, pressureScale, significant } from "../terminal/figures.ts";

/** What came of a wish for a zero. */
export function zeroWords(outcome: ZeroOutcome, unit: UnitName): string {
  if ("zero_Pa" in outcome) return `Zero taken: ${significant(outcome.zero_Pa, 3)} Pa is taken off from here on.`;
  if (outcome.refused === "too-few") return "No zero: there are too few readings yet.";
  return `No zero: the gauge shows ${pressure(pressureScale(unit), outcome.level_Pa)}. Open it to the air, then press z.`;
}
