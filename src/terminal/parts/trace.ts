/** A reading as the curve wants it. */
export interface CurvePoint {
  at_s: number;
  pressure_Pa: number;
}

interface Bucket {
  /** Whole multiples of the trace's width since its first point. */
  index: number;
  low_Pa: number;
  high_Pa: number;
}

/**
 * A curve kept in bounded memory for drawing: the lowest and highest pressure of each short stretch, so that a peak one reading
 * wide is never lost. When it is full, stretches double in width. It is for the eye only; verdicts rest on the readings.
 */
export interface Trace {
  origin_s: number;
  width_s: number;
  buckets: readonly Bucket[];
}

const CAPACITY = 2048;
const FIRST_WIDTH_S = 0.25;

export const EMPTY_TRACE: Trace = {
  origin_s: 0,
  width_s: FIRST_WIDTH_S,
  buckets: [],
};

const joined = (a: Bucket, b: Bucket, index: number): Bucket => ({
  index,
  low_Pa: Math.min(a.low_Pa, b.low_Pa),
  high_Pa: Math.max(a.high_Pa, b.high_Pa),
});

function halved(buckets: readonly Bucket[]): Bucket[] {
  const out: Bucket[] = [];
  for (const bucket of buckets) {
    const index = Math.floor(bucket.index / 2);
    const last = out.at(-1);
    if (last?.index === index) out[out.length - 1] = joined(last, bucket, index);
    else out.push({ ...bucket, index });
  }
  return out;
}

/** The trace with more points; points must come in order of time (a straggler counts to the last stretch). */
export function addPoints(trace: Trace, points: readonly CurvePoint[]): Trace {
  const first = points[0];
  if (first === undefined) return trace;
  const origin_s = trace.buckets.length === 0 ? first.at_s : trace.origin_s;
  let width_s = trace.width_s;
  let buckets = trace.buckets.slice();
  for (const point of points) {
    if (!Number.isFinite(point.at_s) || !Number.isFinite(point.pressure_Pa)) continue;
    const last = buckets.at(-1);
    let index = Math.max(Math.floor((point.at_s - origin_s) / width_s), last?.index ?? 0);
    while (index >= CAPACITY) {
      buckets = halved(buckets);
      width_s *= 2;
      index = Math.floor(index / 2);
    }
    const bucket: Bucket = {
      index,
      low_Pa: point.pressure_Pa,
      high_Pa: point.pressure_Pa,
    };
    const end = buckets.at(-1);
    if (end?.index === index) buckets[buckets.length - 1] = joined(end, bucket, index);
    else buckets.push(bucket);
  }
  return { origin_s, width_s, buckets };
}

export interface Stretch {
  from_s: number;
  to_s: number;
  low_Pa: number;
  high_Pa: number;
}

/** The stretches whose middle lies in the window, in order. */
export function stretches(trace: Trace, from_s: number, to_s: number): Stretch[] {
  const out: Stretch[] = [];
  for (const bucket of trace.buckets) {
    const start_s = trace.origin_s + bucket.index * trace.width_s;
    const middle_s = start_s + trace.width_s / 2;
    if (middle_s < from_s) continue;
    if (middle_s > to_s + trace.width_s / 2) break;
    out.push({
      from_s: start_s,
      to_s: start_s + trace.width_s,
      low_Pa: bucket.low_Pa,
      high_Pa: bucket.high_Pa,
    });
  }
  return out;
}

/** Lowest and highest pressure in the window; `null` when it is empty. */
export function extent(trace: Trace, from_s: number, to_s: number): { low_Pa: number; high_Pa: number } | null {
  let low_Pa = Number.POSITIVE_INFINITY;
  let high_Pa = Number.NEGATIVE_INFINITY;
  for (const stretch of stretches(trace, from_s, to_s)) {
    low_Pa = Math.min(low_Pa, stretch.low_Pa);
    high_Pa = Math.max(high_Pa, stretch.high_Pa);
  }
  return low_Pa > high_Pa ? null : { low_Pa, high_Pa };
}

/** Middle of what was read round `at_s`; `null` when nothing was. */
export function levelAt(trace: Trace, at_s: number, reach_s = 3): number | null {
  const near = extent(trace, at_s - reach_s, at_s + reach_s);
  return near === null ? null : (near.low_Pa + near.high_Pa) / 2;
}
