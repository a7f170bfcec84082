import { at, type Curve } from "../curve.ts";
import type { CleanNotes, Incident } from "./holdCase.ts";
import { resolutionOf } from "./noise.ts";
import { pick, withoutSpikes } from "./spikes.ts";
import { gapsIn, straighten } from "./stamps.ts";
import { unitChangesIn } from "./unitChange.ts";

export interface Cleaned {
  /** In time order, one reading a stamp, without spikes and without readings that are no numbers. */
  curve: Curve;
  /** Gaps, clock steps and unit changes, in time order. */
  incidents: Incident[];
  notes: CleanNotes;
  interval_s: number;
  resolution_Pa: number;
}

/**
 * A recording in arrival order made fit to judge; what was put right is counted and kept. `resolution_Pa` null: read off the curve.
 * `unfiltered` leaves spikes in.
 */
export function cleanCurve(raw: Curve, resolution_Pa: number | null, unfiltered = false): Cleaned {
  const usable = pick(raw, finiteReadings(raw));
  const stamps = straighten(usable.time_s, usable.pressure_Pa);
  const { curve: ordered, duplicates } = inOrder({ ...usable, time_s: stamps.time_s });
  const step_Pa = resolution_Pa ?? resolutionOf(ordered.pressure_Pa);
  const { curve, spikes } = unfiltered ? { curve: ordered, spikes: [] } : withoutSpikes(ordered, step_Pa);
  const units = unitChangesIn(curve.time_s, curve.pressure_Pa, step_Pa);
  const incidents: Incident[] = [...gapsIn(curve.time_s, stamps.interval_s), ...stamps.steps, ...units];
  return {
    curve: inOneUnit(curve, units),
    incidents: incidents.sort((a, b) => a.at_s - b.at_s),
    notes: { duplicates, outOfOrder: stamps.outOfOrder, spikes },
    interval_s: stamps.interval_s,
    resolution_Pa: step_Pa,
  };
}

function finiteReadings({ time_s, pressure_Pa }: Curve): number[] {
  const found: number[] = [];
  for (let i = 0; i < time_s.length; i++) {
    if (Number.isFinite(at(time_s, i)) && Number.isFinite(at(pressure_Pa, i))) found.push(i);
  }
  return found;
}

/** Sorted by stamp; of readings with the same stamp the first to arrive stands. */
function inOrder(curve: Curve): { curve: Curve; duplicates: number } {
  const order = Array.from(curve.time_s.keys()).sort((a, b) => at(curve.time_s, a) - at(curve.time_s, b) || a - b);
  const firsts = order.filter((index, k) => k === 0 || at(curve.time_s, index) > at(curve.time_s, order[k - 1] ?? index));
  return { curve: pick(curve, firsts), duplicates: order.length - firsts.length };
}

/** After a change of unit the readings are scaled back, so that the rest can be drawn and judged; the incident stays. */
function inOneUnit(curve: Curve, changes: readonly { at_s: number; factor: number }[]): Curve {
  if (changes.length === 0) return curve;
  const pressure_Pa = curve.pressure_Pa.map((p, i) =>
    changes.reduce((value, change) => (at(curve.time_s, i) >= change.at_s ? value / change.factor : value), p),
  );
  return { ...curve, pressure_Pa };
}
