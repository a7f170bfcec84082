import { at } from "../curve.ts";
import { indexFrom, lineAt, median } from "./lineAt.ts";

/** How restless the readings are about their own trend. */
export interface Noise {
  /** Standard deviation of one reading about the trend, steps of the gauge included, Pa. */
  sigma_Pa: number;
  /** Readings that count as one: 1 for independent readings, more when gusts outlast the reading interval. */
  correlation: number;
  /** The gauge's step, Pa; 0 when none can be seen. */
  resolution_Pa: number;
  /** The noise is smaller than half a step, so that averaging does not see between the steps. */
  undithered: boolean;
  interval_s: number;
}

const BLOCKS = 6;
const SHORTEST_BLOCK_S = 30;
/** In a longer block the bend of a leak's own decay would pass for noise. */
const LONGEST_BLOCK_S = 60;

/** Noise of the readings in a stretch that has a trend: residuals of straight lines through short blocks, pooled. No block runs across a break. */
export function noiseOf(
  time_s: ArrayLike<number>,
  size_Pa: ArrayLike<number>,
  from_s: number,
  to_s: number,
  resolution_Pa: number,
  breaks_s: readonly number[] = [],
): Noise {
  const first = indexFrom(time_s, from_s);
  const last = indexFrom(time_s, to_s + 1e-9);
  const interval_s = last - first > 1 ? (at(time_s, last - 1) - at(time_s, first)) / (last - 1 - first) : 1;
  const block_s = Math.max(SHORTEST_BLOCK_S, Math.min(LONGEST_BLOCK_S, (to_s - from_s) / BLOCKS), 8 * interval_s);
  const blocks: Float64Array[] = [];
  for (let b = first; b < last; ) {
    const start_s = at(time_s, b);
    const until_s = breaks_s.find((s) => s >= start_s && s < start_s + block_s);
    const end = Math.min(last, until_s === undefined ? indexFrom(time_s, start_s + block_s) : indexFrom(time_s, until_s + 1e-6));
    const residuals = residualsOf(time_s, size_Pa, b, Math.max(end, b + 1));
    if (residuals) blocks.push(residuals);
    b = Math.max(end, b + 1);
  }
  const sigma_Pa = pooledSigma(blocks);
  const undithered = Math.sqrt(Math.max(0, sigma_Pa ** 2 - resolution_Pa ** 2 / 12)) < resolution_Pa / 2;
  return {
    sigma_Pa,
    correlation: correlationOf(blocks),
    resolution_Pa,
    undithered,
    interval_s,
  };
}

function residualsOf(time_s: ArrayLike<number>, y: ArrayLike<number>, from: number, to: number): Float64Array | null {
  if (to - from < 6) return null;
  const origin_s = at(time_s, from);
  const fit = lineAt(time_s, y, from, to, origin_s);
  if (!fit) return null;
  const residuals = new Float64Array(to - from);
  for (let i = from; i < to; i++) residuals[i - from] = at(y, i) - fit.value - fit.slope * (at(time_s, i) - origin_s);
  return residuals;
}

function pooledSigma(blocks: Float64Array[]): number {
  let sum = 0;
  let freedom = 0;
  for (const block of blocks) {
    for (const r of block) sum += r * r;
    freedom += block.length - 2;
  }
  return freedom > 0 ? Math.sqrt(sum / freedom) : 0;
}

/** 1 + 2 Σρ over the first run of lags whose correlation stands out of chance; n readings are worth n divided by this. */
export function correlationOf(blocks: readonly Float64Array[]): number {
  let variance = 0;
  let count = 0;
  let longest = 0;
  for (const block of blocks) {
    for (const r of block) variance += r * r;
    count += block.length;
    longest = Math.max(longest, block.length);
  }
  if (count < 12 || variance <= 0) return 1;
  variance /= count;
  const chance = 2 / Math.sqrt(count);
  let sum = 1;
  for (let lag = 1; lag <= Math.min(longest >> 1, 60); lag++) {
    const rho = covarianceAt(blocks, lag) / variance;
    if (!(rho > chance)) break;
    sum += 2 * rho;
  }
  return sum;
}

function covarianceAt(blocks: readonly Float64Array[], lag: number): number {
  let sum = 0;
  let pairs = 0;
  for (const block of blocks) {
    for (let i = lag; i < block.length; i++) sum += at(block, i) * at(block, i - lag);
    pairs += Math.max(0, block.length - lag);
  }
  return pairs > 0 ? sum / pairs : 0;
}

/**
 * The gauge's step as the readings show it: the smallest change that nearly all changes are multiples of. 0 when there is none
 * (a gauge with more digits than noise). Looks at up to 4000 readings.
 */
export function resolutionOf(pressure_Pa: ArrayLike<number>): number {
  const stride = Math.max(1, Math.floor(pressure_Pa.length / 4000));
  const changes: number[] = [];
  for (let i = 1; i < pressure_Pa.length; i += stride) {
    const change = Math.abs(at(pressure_Pa, i) - at(pressure_Pa, i - 1));
    if (change > 1e-9) changes.push(change);
  }
  if (changes.length < 8) return 0;
  changes.sort((a, b) => a - b);
  const smallest = changes.slice(0, Math.max(1, Math.ceil(changes.length / 50)));
  const step = median(smallest);
  const multiples = changes.filter((c) => Math.abs(c / step - Math.round(c / step)) < 0.02 * Math.max(1, c / step / 10)).length;
  return multiples >= 0.95 * changes.length ? step : 0;
}
