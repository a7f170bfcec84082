import { at, type Curve } from "../curve.ts";
import { type Limits, signOf } from "../methods/limits.ts";
import type { HoldFigures } from "../record.ts";

/** A curve laid so that its hold begins at 0 s and at no change: positive is charge gained, negative charge lost, for a vacuum too. */
export interface Aligned {
  time_s: Float64Array;
  change_Pa: Float64Array;
  /** Length of the hold, s. */
  hold_s: number;
}

/** `null` when no hold was made. Curves in time order. */
export function aligned(curve: Curve, limits: Pick<Limits, "direction">, hold: HoldFigures): Aligned | null {
  const { from_s, to_s } = hold;
  const first = from_s === null ? -1 : curve.time_s.findIndex((s) => s >= from_s);
  if (from_s === null || to_s === null || first < 0) return null;
  const sign = signOf(limits);
  const start_Pa = hold.start_Pa ?? at(curve.pressure_Pa, first);
  return {
    time_s: curve.time_s.map((s) => s - from_s),
    change_Pa: curve.pressure_Pa.map((p) => sign * (p - start_Pa)),
    hold_s: to_s - from_s,
  };
}

/** Change at `at_s` after the start of the hold, between the readings on both sides; `null` outside the curve. */
export function changeAt({ time_s, change_Pa }: Aligned, at_s: number): number | null {
  const after = time_s.findIndex((s) => s >= at_s);
  if (after < 0) return null;
  if (at(time_s, after) === at_s) return at(change_Pa, after);
  if (after === 0) return null;
  const [t0, t1] = [at(time_s, after - 1), at(time_s, after)];
  const part = t1 > t0 ? (at_s - t0) / (t1 - t0) : 0;
  return at(change_Pa, after - 1) + part * (at(change_Pa, after) - at(change_Pa, after - 1));
}
