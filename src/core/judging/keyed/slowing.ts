import { type KeyedReading, uFall_Pa } from "./eye.ts";
import type { KeyedCase } from "./keyedCase.ts";

/** The first and the last stretch between readings of a hold, side by side. Rates in pascal a second, falls positive. */
export interface Slowing {
  early_Pa_s: number;
  late_Pa_s: number;
  /** By how much the late fall is slower than a leak alone would make it, Pa/s; negative: quicker. */
  slower_Pa_s: number;
  u_Pa_s: number;
}

/** Shorter stretches tell nothing to an eye, s. */
const STRETCH_s = 30;

/** `null` with fewer than two stretches. A leak slows only as the pressure falls; what is slower than that was cooling, what is quicker rebound. */
export function slowing({ held, start }: KeyedCase): Slowing | null {
  const stretches = held.slice(1).flatMap((to, i) => {
    const from = held[i];
    return from === undefined || to.at_s - from.at_s < STRETCH_s ? [] : [{ from, to }];
  });
  const [early] = stretches;
  const late = stretches.at(-1);
  if (early === undefined || late === undefined || early === late) return null;
  const by_leak = middle(late) / middle(early);
  const slower_Pa_s = rate(early) * by_leak - rate(late);
  const u = (one: Stretch): number => uFall_Pa(one.from, one.to, start.gauge) / (one.to.at_s - one.from.at_s);
  return { early_Pa_s: rate(early), late_Pa_s: rate(late), slower_Pa_s, u_Pa_s: Math.hypot(by_leak * u(early), u(late)) };
}

interface Stretch {
  from: KeyedReading;
  to: KeyedReading;
}

const rate = ({ from, to }: Stretch): number => (from.size_Pa - to.size_Pa) / (to.at_s - from.at_s);
const middle = ({ from, to }: Stretch): number => (from.size_Pa + to.size_Pa) / 2;
