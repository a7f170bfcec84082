import { binned, headAt, type Level, putIn, type Rise, risesIn } from "./levels.ts";
import type { WaterCase } from "./waterCase.ts";

/** The measure is read to this, L (from memory of EN 1610, 13.3.4). */
export const MEASURE_STEP_L = 0.1;
/** A level read by eye against a mark, half-width 2 mm of water. Common practice, no source. */
const BY_EYE_Pa = 20;
/** A water surface is never quite still, standard deviation. Common practice, no source. */
const SWELL_Pa = 5;
const L_PER_M3 = 1000;
const WATER_Pa_m = 9806.65;

/** The hold as measured: heads in pascal, volumes in litres. */
export interface Measured {
  start_Pa: number | null;
  end_Pa: number | null;
  /** Standard uncertainty of one head, Pa. */
  u_head_Pa: number;
  levels: readonly Level[];
  lowest_Pa: number | null;
  highest_Pa: number | null;
  rises: readonly Rise[];
  /** Typed in the hold: put in less taken out. */
  entered_L: number;
  topUps: number;
  /** `null`: cannot be told. */
  added_L: number | null;
  u_added_L: number | null;
}

const litresOf = (change_Pa: number, surface_m2: number): number => (change_Pa / WATER_Pa_m) * surface_m2 * L_PER_M3;

/** Heads and litres of one hold. */
export function measure(input: WaterCase, hold: { from_s: number; to_s: number }): Measured {
  const { curve, stated, water, keyed, read, target_Pa, back_s } = input;
  const u_head_Pa = uncertaintyOfHead(input);
  const levels = keyed ? stated.filter(({ at_s }) => at_s >= hold.from_s && at_s <= hold.to_s) : binned(curve, hold.from_s, hold.to_s);
  const rises = keyed ? [] : putIn(curve, risesIn(levels, input.start.gauge.resolution_Pa ?? 0));
  const entries = input.entries.filter(({ at_s }) => at_s > hold.from_s && at_s <= hold.to_s);
  const entered_L = entries.reduce((sum, { litres }) => sum + litres, 0);
  const topUps = read && !keyed ? rises.length : entries.filter(({ litres }) => litres > 0).length;
  const start_Pa = keyed ? (levels[0]?.head_Pa ?? target_Pa) : headAt(curve, hold.from_s);
  // Said to be back at the mark: then it stands where it began.
  const end_Pa = keyed ? (back_s === null ? (levels.slice(1).at(-1)?.head_Pa ?? null) : start_Pa) : headAt(curve, hold.to_s);
  const heads = levels.map(({ head_Pa }) => head_Pa);
  const fall_Pa = start_Pa === null || end_Pa === null ? null : start_Pa - end_Pa;
  const risen_Pa = rises.reduce((sum, { rise_Pa }) => sum + rise_Pa, 0);
  const volume = volumeOf({ surface_m2: water.surface_m2, read: read && !keyed, fall_Pa, risen_Pa, entered_L });
  const reads = 2 + (read && !keyed ? 2 * rises.length : 0);
  const u_level_L = water.surface_m2 === null ? 0 : litresOf(Math.sqrt(reads) * u_head_Pa, water.surface_m2);
  // Each measure poured is read to its step: a rectangle of that width (JCGM 100:2008, F.2.2.1).
  const u_entries_L = read && !keyed ? 0 : (Math.sqrt(entries.length) * MEASURE_STEP_L) / Math.sqrt(12);
  return {
    start_Pa,
    end_Pa,
    u_head_Pa,
    levels,
    lowest_Pa: heads.length === 0 ? null : Math.min(...heads),
    highest_Pa: heads.length === 0 ? null : Math.max(...heads),
    rises,
    entered_L,
    topUps,
    added_L: volume,
    u_added_L: volume === null ? null : Math.hypot(u_level_L, u_entries_L),
  };
}

interface Amounts {
  surface_m2: number | null;
  read: boolean;
  fall_Pa: number | null;
  risen_Pa: number;
  entered_L: number;
}

/** A standpipe gives all from its level; else the entries count, with what a known surface shows to be missing at the end. */
function volumeOf({ surface_m2, read, fall_Pa, risen_Pa, entered_L }: Amounts): number | null {
  if (read) return surface_m2 === null || fall_Pa === null ? null : litresOf(fall_Pa + risen_Pa, surface_m2);
  const missing_L = surface_m2 === null || fall_Pa === null ? 0 : litresOf(fall_Pa, surface_m2);
  // Sums of tenths are kept free of the last binary digit, or 0.1 + 0.2 would lie over a limit of 0.3.
  return Number((entered_L + missing_L).toFixed(9));
}

/** Half-widths of step and error as rectangles (JCGM 100:2008, 4.3.7). */
function uncertaintyOfHead({ start, keyed, target_Pa }: WaterCase): number {
  if (keyed) return BY_EYE_Pa / Math.sqrt(3);
  const { resolution_Pa, accuracy_Pa, accuracy_fraction } = start.gauge;
  const error_Pa = accuracy_Pa ?? (accuracy_fraction ?? 0) * (target_Pa ?? 0);
  return Math.hypot(SWELL_Pa, (resolution_Pa ?? 0) / Math.sqrt(12), error_Pa / Math.sqrt(3));
}
