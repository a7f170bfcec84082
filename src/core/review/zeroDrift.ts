import { driftInTests, type KeptZero } from "../gauges/zeroHistory.ts";

export interface DatedZero extends KeptZero {
  wall_ms: number;
}

/** How the zero of one gauge has moved. */
export interface ZeroDrift {
  zeros: number;
  latest_Pa: number;
  latest_wall_ms: number;
  /** By a straight line through all of them, Pa in 30 days; `null`: fewer than three, or within one day. */
  perMonth_Pa: number | null;
  /** Largest change within one test. */
  inTest_Pa: number | null;
}

const DAY_MS = 86_400_000;

/** `null` when no zero was ever kept. Any order. */
export function zeroDriftOf(zeros: readonly DatedZero[]): ZeroDrift | null {
  const sorted = [...zeros].sort((a, b) => a.wall_ms - b.wall_ms);
  const [first, latest] = [sorted[0], sorted.at(-1)];
  if (first === undefined || latest === undefined) return null;
  const isLong = sorted.length >= 3 && latest.wall_ms - first.wall_ms >= DAY_MS;
  return {
    zeros: sorted.length,
    latest_Pa: latest.zero_Pa,
    latest_wall_ms: latest.wall_ms,
    perMonth_Pa: isLong ? slope_Pa_day(sorted, first.wall_ms) * 30 : null,
    inTest_Pa: driftInTests(zeros),
  };
}

/** Ordinary least squares. */
function slope_Pa_day(zeros: readonly DatedZero[], from_ms: number): number {
  const days = zeros.map(({ wall_ms }) => (wall_ms - from_ms) / DAY_MS);
  const meanDay = days.reduce((sum, d) => sum + d, 0) / days.length;
  const mean_Pa = zeros.reduce((sum, z) => sum + z.zero_Pa, 0) / zeros.length;
  let [above, below] = [0, 0];
  for (const [i, { zero_Pa }] of zeros.entries()) {
    const off = (days[i] ?? 0) - meanDay;
    above += off * (zero_Pa - mean_Pa);
    below += off * off;
  }
  return below === 0 ? 0 : above / below;
}
