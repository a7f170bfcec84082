import { addPoints, type CurvePoint, EMPTY_TRACE, type Trace } from "./trace.ts";

/** A recording's points, whole or in part. */
interface Points {
  readonly length: number;
  points(from: number, to: number): readonly CurvePoint[];
}

/** Traces kept along the way; their stretches are shared. */
const KEPT = 64;

/**
 * The trace after any number of readings, as it would have grown reading by reading: from the nearest of the traces kept on the way, so that
 * going back costs no more than going on.
 */
export function traceIndex(readings: Points): (count: number) => Trace {
  const apart = Math.max(256, Math.ceil(readings.length / KEPT));
  const kept: Trace[] = [EMPTY_TRACE];
  let last = { count: 0, trace: EMPTY_TRACE };
  return (count) => {
    const near = Math.floor(count / apart);
    for (let i = kept.length; i <= near; i++) {
      kept.push(addPoints(kept[i - 1] ?? EMPTY_TRACE, readings.points((i - 1) * apart, i * apart)));
    }
    const from = last.count <= count && last.count >= near * apart ? last : { count: near * apart, trace: kept[near] ?? EMPTY_TRACE };
    last = { count, trace: from.count === count ? from.trace : addPoints(from.trace, readings.points(from.count, count)) };
    return last.trace;
  };
}
