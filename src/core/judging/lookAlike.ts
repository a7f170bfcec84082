import { at, type Curve } from "../curve.ts";
import { median } from "./lineAt.ts";
import { resolutionOf } from "./noise.ts";
import { intervalOf } from "./stamps.ts";

/** Two curves that share what chance alone makes: one of them is a copy. */
export interface LookAlike {
  kind: "identical" | "near-identical";
  /** Of what is left once the trend is taken out, over the readings looked at. */
  correlation: number;
  /** Share of readings that are equal but for a constant. */
  equal_part: number;
  readings: number;
}

/** Readings of the one curve that are looked for in the other. */
const WINDOW = 512;
const LEAST_READINGS = 120;
/** Independent noise of 120 readings reaches 0.45 at the best of 10 000 places, a copy with as much fresh noise as it had 0.7. */
const SAME_NOISE = 0.8;
const EQUAL_PART = 0.98;
/** A staircase of equal steps fits every other one; below this part of a step in scatter only equality counts. */
const DITHERED_PART = 0.45;
const LEAST_CHANGES = 20;

/**
 * Looks for the middle of one curve's closed part anywhere in the other's: shifted, raised or scaled it is still a copy. `null` when they are
 * independent, or when there is too little in them to tell. Curves in time order.
 */
export function lookAlike(one: Curve, other: Curve): LookAlike | null {
  const a = closedPart(one);
  const b = closedPart(other);
  if (a.length < LEAST_READINGS || b.length < LEAST_READINGS) return null;
  const pace = intervalOf(one.time_s) / intervalOf(other.time_s);
  if (!(pace > 0.95 && pace < 1.05)) return null;
  const short = a.length <= b.length ? a : b;
  const long = short === a ? b : a;
  const n = Math.min(WINDOW, short.length);
  const begin = (short.length - n) >> 1;
  const needle = detrended(short).subarray(begin, begin + n);
  const best = bestPlace(needle, detrended(long));
  if (best === null) return null;
  const equal_part = equalPart(short, long, best.place - begin);
  const kind = equal_part >= EQUAL_PART && changesIn(short) >= LEAST_CHANGES ? "identical" : "near-identical";
  if (kind === "near-identical" && !(best.correlation >= SAME_NOISE && isDithered(short) && isDithered(long))) return null;
  return { kind, correlation: best.correlation, equal_part, readings: n };
}

/** From first above to last above half of the greatest charge. */
function closedPart({ pressure_Pa }: Curve): Float64Array {
  let top = 0;
  for (const p of pressure_Pa) top = Math.max(top, Math.abs(p));
  const inside = (p: number): boolean => Math.abs(p) > top / 2;
  const from = pressure_Pa.findIndex(inside);
  return from < 0 ? new Float64Array() : pressure_Pa.subarray(from, pressure_Pa.findLastIndex(inside) + 1);
}

/** Half a window of the running mean that is taken out, readings. */
const HALF = 3;

/** What is left of each reading above its neighbours' mean, strokes of a pump cut down to what noise can be. */
function detrended(y: Float64Array): Float64Array {
  const left = y.map((value, i) => {
    const few = y.subarray(Math.max(0, i - HALF), Math.min(y.length, i + HALF + 1));
    return value - few.reduce((sum, p) => sum + p, 0) / few.length;
  });
  const most = 6 * median(left.map(Math.abs));
  return most > 0 ? left.map((r) => Math.max(-most, Math.min(most, r))) : left;
}

function bestPlace(needle: Float64Array, hay: Float64Array): { place: number; correlation: number } | null {
  const own = needle.reduce((sum, r) => sum + r * r, 0);
  let best: { place: number; correlation: number } | null = null;
  let there = 0;
  for (let i = 0; i < needle.length - 1; i++) there += at(hay, i) ** 2;
  for (let place = 0; place + needle.length <= hay.length; place++) {
    there += at(hay, place + needle.length - 1) ** 2;
    let product = 0;
    for (let i = 0; i < needle.length; i++) product += (needle[i] ?? 0) * (hay[place + i] ?? 0);
    const correlation = product / Math.sqrt(own * there);
    if (Number.isFinite(correlation) && (best === null || correlation > best.correlation)) best = { place, correlation };
    there = Math.max(0, there - at(hay, place) ** 2);
  }
  return best;
}

/** Over all that both have once they are laid on each other. */
function equalPart(short: Float64Array, long: Float64Array, shift: number): number {
  const from = Math.max(0, -shift);
  const to = Math.min(short.length, long.length - shift);
  if (to - from < LEAST_READINGS) return 0;
  const apart = short.subarray(from, to).map((p, i) => p - at(long, from + i + shift));
  const constant = median(apart);
  const close = Math.max(1e-6, 0.01 * resolutionOf(short));
  return apart.filter((d) => Math.abs(d - constant) <= close).length / apart.length;
}

const changesIn = (y: Float64Array): number => y.filter((p, i) => i > 0 && p !== at(y, i - 1)).length;

function isDithered(y: Float64Array): boolean {
  const second = y.subarray(2).map((p, i) => Math.abs(p - 2 * at(y, i + 1) + at(y, i)));
  return (1.4826 * median(second)) / Math.sqrt(6) > DITHERED_PART * resolutionOf(y) && median(second) > 0;
}
