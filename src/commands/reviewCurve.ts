import type { Curve } from "../core/curve.ts";
import type { JournalEvent } from "../core/journal.ts";
import { Columns } from "../core/judging/columns.ts";
import { heldZeroFor } from "../core/judging/heldZero.ts";
import { keyedEntryOf } from "../core/judging/keyed/entries.ts";
import { entryOf } from "../core/judging/water/entries.ts";
import { signOf } from "../core/methods/limits.ts";
import type { RecordStart } from "../core/record.ts";
import { driverEvent } from "../session/fold.ts";
import { driverOf } from "./gauge.ts";

/** The readings of a journal as they came, without a judge; times from its first event, as the judges count them. Typed readings are readings too. */
export function curveOf(start: RecordStart, journal: readonly JournalEvent[]): Curve {
  const driver = driverOf(start.gauge);
  const columns = new Columns();
  const zero = heldZeroFor(start.gauge.reference);
  const origin_ms = journal[0]?.at_ms ?? 0;
  let state = driver.start();
  for (const event of journal) {
    const typed_Pa = event.kind === "key" ? typedPressure(start, event.action) : null;
    if (typed_Pa !== null) columns.push((event.at_ms - origin_ms) / 1000, typed_Pa, null, null);
    if (event.kind === "zero") zero?.hold(event.zero_Pa);
    const told = driverEvent(event);
    if (told === null) continue;
    const step = driver.next(state, told);
    state = step.state;
    for (const reading of step.readings) {
      const { at_ms, pressure_Pa, air_C, ambient_Pa } = zero?.taken(reading) ?? reading;
      if (pressure_Pa !== null) columns.push((at_ms - origin_ms) / 1000, pressure_Pa, air_C, ambient_Pa);
    }
  }
  return columns.curve();
}

function typedPressure({ limits }: RecordStart, action: string): number | null {
  if (limits.water !== undefined) {
    const entry = entryOf(action);
    return entry?.kind === "head" ? entry.head_Pa : null;
  }
  const entry = keyedEntryOf(action);
  return entry?.kind === "reading" ? signOf(limits) * entry.size_Pa : null;
}
