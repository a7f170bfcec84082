import type { Limits } from "../methods/limits.ts";
import type { History, Stretch } from "./history.ts";
import { indexFrom } from "./lineAt.ts";
import {
  type Action,
  ALLOWED_PART,
  airTimeConstant_s,
  boundOfActions,
  firstWindow_s,
  HOSE_S,
  type Transient,
  transientToCome,
} from "./settling.ts";
import { type Coming, fitSettling, type SettlingFit } from "./settlingFit.ts";

/** The transient still to come as known at some moment, and when that was. */
export interface Known {
  at_s: number;
  coming: Coming;
}

/** A warm wall gives its heat up this many times as slowly as the air; longer than 250 s is weather. Working guesses, no source. */
const WALL_TIMES = 5;
const LONGEST_S = 250;
/** The air's time constant at the upper end of what is safe to assume, as a multiple of the guess. */
const SAFE_TIMES = 3;
/** Shorter windows than this show noise, not settling. */
const LEAST_WINDOW_S = 20;
/** The change of slope is looked at anew after so long: it moves with the windows, which are longer. */
const LOOK_EVERY_S = 4;

/**
 * What a finished recording tells of the transient still to come, at any moment of one untouched stretch. Three witnesses, each of which
 * bounds it on its own; what all of them allow is what is known:
 *
 *     fit        settled leak + dying exponential over the whole stretch, with hindsight
 *     slopes     the change of slope between two windows that end at the moment, as the live judge sees it
 *     physics    what was left when the last stretch ended, and what the actions since can have added
 */
export class ToCome {
  readonly #fit: SettlingFit | null;
  readonly #history: History;
  readonly #limits: Limits;
  readonly #quiet_s: number;
  readonly #before: Known | null;
  #slopes: Known | null = null;

  constructor(history: History, limits: Limits, stretch: Stretch, before: Known | null) {
    this.#history = history;
    this.#limits = limits;
    this.#quiet_s = stretch.from_s + HOSE_S;
    this.#before = before;
    const { watched } = history;
    this.#fit = fitSettling({
      time_s: watched.time_s,
      size_Pa: watched.size_Pa,
      from_s: this.#quiet_s,
      to_s: stretch.to_s,
      test_Pa: watched.test_Pa,
      longest_s: Math.min(LONGEST_S, WALL_TIMES * airTimeConstant_s(limits.dn_mm)),
      resolution_Pa: watched.resolution_Pa,
    });
  }

  /** `null` while the hose still shows, or when nothing is known. Moments must be asked for in the order of time. */
  at(at_s: number): { coming: Coming; unfitted: Coming } | null {
    if (at_s < this.#quiet_s || this.#fit === null) return null;
    const fitted = this.#fit.comingAt(at_s, this.#limits.hold_s);
    const physics = this.#byPhysics(at_s);
    const slopes = this.#bySlopes(at_s);
    const unfitted = slopes ? meet(physics, slopes) : physics;
    return { coming: [slopes, physics].reduce<Coming>((known, next) => (next ? meet(known, next) : known), fitted), unfitted };
  }

  #bySlopes(at_s: number): Coming | null {
    if (this.#slopes !== null && at_s - this.#slopes.at_s < LOOK_EVERY_S) return this.#slopes.coming;
    const { watched } = this.#history;
    const from = indexFrom(watched.time_s, this.#quiet_s);
    const to = indexFrom(watched.time_s, at_s + 1e-6);
    const seen = transientToCome({
      t_s: watched.time_s.slice(from, to),
      p_Pa: watched.size_Pa.slice(from, to),
      since_s: this.#quiet_s,
      holdSeconds: this.#limits.hold_s,
      tau_s: SAFE_TIMES * airTimeConstant_s(this.#limits.dn_mm),
      allowance_Pa: ALLOWED_PART * this.#limits.permittedDrop_Pa,
      resolution_Pa: watched.resolution_Pa,
      shortest_s: Math.max(
        LEAST_WINDOW_S,
        Math.min((at_s - this.#quiet_s) / 2, firstWindow_s(SAFE_TIMES * airTimeConstant_s(this.#limits.dn_mm))),
      ),
    });
    if (seen === null) return null;
    this.#slopes = { at_s, coming: bySlopes(seen) };
    return this.#slopes.coming;
  }

  #byPhysics(at_s: number): Coming {
    const { charge, actions } = this.#history;
    const done = [charge, ...actions].filter((a): a is Action => a !== null && a.to_s <= at_s);
    const all = this.#added(done, at_s);
    if (this.#before === null) return all;
    const since = this.#added(
      done.filter((a) => a.to_s > (this.#before?.at_s ?? 0)),
      at_s,
    );
    const { high_Pa, low_Pa } = this.#before.coming;
    return meet(all, between(Math.min(0, low_Pa) + since.low_Pa, Math.max(0, high_Pa) + since.high_Pa));
  }

  #added(actions: readonly Action[], at_s: number): Coming {
    const { adds_Pa, hides_Pa } = boundOfActions(actions, at_s, SAFE_TIMES * airTimeConstant_s(this.#limits.dn_mm));
    return between(-hides_Pa, adds_Pa);
  }
}

/** All that is known are two bounds. */
export const between = (low_Pa: number, high_Pa: number): Coming => ({
  coming_Pa: (low_Pa + high_Pa) / 2,
  u_Pa: (high_Pa - low_Pa) / 2 / 1.645,
  high_Pa,
  low_Pa,
});

const bySlopes = ({ coming_Pa, noise_Pa }: Transient): Coming => between(coming_Pa - noise_Pa, coming_Pa + noise_Pa);

/** What both allow; the first where they contradict each other. Its best estimate is kept as far as the second allows it. */
export function meet(first: Coming, second: Coming): Coming {
  const high_Pa = Math.min(first.high_Pa, second.high_Pa);
  const low_Pa = Math.max(first.low_Pa, second.low_Pa);
  if (low_Pa > high_Pa) return first;
  const coming_Pa = Math.min(high_Pa, Math.max(low_Pa, first.coming_Pa));
  return { coming_Pa, u_Pa: Math.max(high_Pa - coming_Pa, coming_Pa - low_Pa) / 1.645, high_Pa, low_Pa };
}
