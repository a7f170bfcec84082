import { at } from "../curve.ts";
import type { Action } from "./actions.ts";
import { indexFrom, median } from "./lineAt.ts";
import type { Seen } from "./watched.ts";

/** What is left of the test pressure when a pipe has been opened. */
const EMPTY_PART = 0.1;
/** So much of the test pressure, within this time. */
const COMES_BACK_PART = 0.02;
const COMES_BACK_S = 60;

/** No leak that a pump could charge against empties a pipe within this time of the last stroke, s; common practice, no source. */
const AT_ONCE_S = 20;

/** A pipe opened, or a plug blown out, in the very seconds after the pump. */
export function openedAtOnce({ time_s, shown_Pa, test_Pa }: Seen, pumping: Action): Action[] {
  const from = indexFrom(time_s, pumping.to_s);
  for (let i = from; i < time_s.length && at(time_s, i) <= pumping.to_s + AT_ONCE_S; i++) {
    if (at(shown_Pa, i) < EMPTY_PART * test_Pa)
      return [{ from_s: pumping.to_s, to_s: at(time_s, i), step_Pa: at(shown_Pa, i) - at(shown_Pa, from) }];
  }
  return [];
}

/** The rate of fall, relative to what is left, of a pipe being opened is this many times the one before. */
const OPENED_TIMES = 4;
/** And at least this part of the test pressure a second. */
const OPENED_RATE = 0.003;

/** A large pipe empties without a step; what tells it is a fall that suddenly quickens and goes on until nothing is left. */
export function slowRelease({ time_s, shown_Pa: size_Pa, test_Pa }: Seen, after_s: number): Action | undefined {
  const last = size_Pa.length - 1;
  if (last < 0 || at(size_Pa, last) > EMPTY_PART * test_Pa) return undefined;
  for (let i = indexFrom(time_s, after_s + 30); i < last; i++) {
    const before = Math.max(0, indexFrom(time_s, at(time_s, i) - 20));
    const later = Math.min(last, indexFrom(time_s, at(time_s, i) + 10));
    const now_Pa = at(size_Pa, i);
    if (now_Pa < EMPTY_PART * test_Pa) return undefined;
    const rate = (now_Pa - at(size_Pa, later)) / (at(time_s, later) - at(time_s, i));
    const earlier = (at(size_Pa, before) - now_Pa) / (at(time_s, i) - at(time_s, before));
    if (rate < OPENED_RATE * test_Pa || rate < OPENED_TIMES * Math.max(earlier, 0)) continue;
    const begin = quickens(time_s, size_Pa, i, Math.max(earlier, 0), OPENED_PART * test_Pa);
    return { from_s: at(time_s, begin), to_s: at(time_s, last), step_Pa: at(size_Pa, last) - at(size_Pa, begin) };
  }
  return undefined;
}

/** Below the trend by this part of the test pressure the fall has begun. */
const OPENED_PART = 0.01;

/** The look ahead sees a fall before it begins: the last reading that still follows the trend from reading `i`. */
function quickens(time_s: readonly number[], size_Pa: readonly number[], i: number, rate: number, apart_Pa: number): number {
  let k = i;
  while (k < size_Pa.length - 1 && at(size_Pa, k + 1) > at(size_Pa, i) - rate * (at(time_s, k + 1) - at(time_s, i)) - apart_Pa) k++;
  return k;
}

/** From here to the end of the recording, or to the next charge, nothing is left. */
export function isEmptied({ time_s, shown_Pa: size_Pa, test_Pa }: Seen, fall: Action): boolean {
  if (fall.step_Pa >= 0) return false;
  const before = at(size_Pa, indexFrom(time_s, fall.from_s));
  const after = median(size_Pa.slice(indexFrom(time_s, fall.to_s), indexFrom(time_s, fall.to_s + 10) + 1));
  return after < Math.min(EMPTY_PART * test_Pa, 0.5 * before) || before + fall.step_Pa < EMPTY_PART * test_Pa;
}

/** Emptied, only to rise again as the air left in it warms: nobody opened it, a plug slipped and seated again. How fast it fell tells nothing. */
export function comesBack({ time_s, shown_Pa: size_Pa, test_Pa }: Seen, fall: Action): boolean {
  const until = indexFrom(time_s, fall.to_s + COMES_BACK_S);
  let lowest = Number.POSITIVE_INFINITY;
  for (let i = indexFrom(time_s, fall.to_s); i < until; i++) {
    lowest = Math.min(lowest, at(size_Pa, i));
    if (at(size_Pa, i) - lowest > COMES_BACK_PART * test_Pa) return true;
  }
  return false;
}
