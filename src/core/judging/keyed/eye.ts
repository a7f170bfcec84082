import type { GaugeFacts } from "../../record.ts";

/** Largest error of an eye at a scale in millimetres of water: one of them (the trade's figure). */
export const EYE_Pa = 9.80665;

const SQRT3 = Math.sqrt(3);
/** Between the look and the Enter, s; the middle is known to this much on either side. Common practice, no source. */
const TYPING_s = 2;

export interface KeyedReading {
  at_s: number;
  /** Positive for a vacuum too. */
  size_Pa: number;
  /** Scales read for it: one, or both legs. */
  looks: 1 | 2;
}

/**
 * Standard uncertainty of one reading: a look is within the eye's error on either side, nothing more is known (rectangular, JCGM 100:2008,
 * 4.3.7: u = a/√3); both legs are two looks that err independently, √2 of one.
 */
export const uReading_Pa = ({ looks }: Pick<KeyedReading, "looks">, gauge: GaugeFacts): number =>
  (Math.sqrt(looks) * (gauge.resolution_Pa ?? EYE_Pa)) / SQRT3;

/** Standard uncertainty of the fall between two readings: both looks, the scale's own error if told, and when Enter was pressed. */
export function uFall_Pa(from: KeyedReading, to: KeyedReading, gauge: GaugeFacts): number {
  const fall_Pa = from.size_Pa - to.size_Pa;
  const took_s = to.at_s - from.at_s;
  const timing_Pa = took_s > 0 ? (Math.SQRT2 * Math.abs(fall_Pa / took_s) * TYPING_s) / SQRT3 : 0;
  return Math.hypot(
    uReading_Pa(from, gauge),
    uReading_Pa(to, gauge),
    ((gauge.accuracy_fraction ?? 0) * fall_Pa) / SQRT3,
    (gauge.accuracy_Pa ?? 0) / SQRT3,
    timing_Pa,
  );
}

/** Standard uncertainty of what a reading says of the pressure itself. */
export const uAt_Pa = (reading: KeyedReading, gauge: GaugeFacts): number =>
  Math.hypot(uReading_Pa(reading, gauge), ((gauge.accuracy_fraction ?? 0) * reading.size_Pa) / SQRT3, (gauge.accuracy_Pa ?? 0) / SQRT3);
