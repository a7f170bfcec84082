import type { Reading } from "../core/driver.ts";
import { keyedEntryOf } from "../core/judging/keyed/entries.ts";
import { signOf } from "../core/methods/limits.ts";
import type { Update } from "./fold.ts";

/** Readings as a curve shows them: those of a gauge, or what was just typed of a tube. */
export function readingsSeen({ readings, judge, event }: Pick<Update, "readings" | "judge" | "event">): readonly Reading[] {
  const typed = event.kind === "key" ? keyedEntryOf(event.action) : null;
  if (typed?.kind !== "reading") return readings;
  return [{ at_ms: event.at_ms, pressure_Pa: signOf(judge.start.limits) * typed.size_Pa, unit: null }];
}
