import { at } from "../curve.ts";
import type { Bins, GaugeScale } from "./bins.ts";
import { fitLine, valueAt } from "./line.ts";
import { type Action, GIVEN_BACK, HOSE_S } from "./settling.ts";

const TREND_BINS = 6;
const NOISE_MEMORY = 0.05;
/** Nothing below this part of the test pressure is ever called an action. */
const LEAST_PART = 0.0015;

/** No hand and no plug moves air this long unasked: it is a leak, or the air's own heat. */
const OWN_FALL_S = 10;

/** A movement under way: the trend it left and when it was last seen. */
interface Begun {
  t_s: number;
  p_Pa: number;
  slope: number;
  last_s: number;
}

/**
 * Sees air being put in or let out while the pipe should be quiet: a second that departs from the trend of the seconds
 * before it by more than noise, the gauge's step and the curvature of a dying transient allow.
 */
export class Flow {
  readonly actions: Action[] = [];
  /** The pressure is being moved right now. */
  moving = false;
  readonly #scale: GaugeScale;
  readonly #shortTau_s: number;
  #sigma_Pa: number;
  #quietFrom = 0;
  #quietBins = 0;
  #begun: Begun | null = null;

  constructor(scale: GaugeScale, tau_s: number) {
    this.#scale = scale;
    this.#shortTau_s = 0.4 * tau_s;
    this.#sigma_Pa = 0.0003 * scale.test_Pa;
  }

  /** Notes an action seen by other means (the charge itself) and starts the trend anew at bin `i`. */
  note(action: Action, i: number): void {
    this.actions.push(action);
    this.#restart(i);
  }

  /**
   * Takes bin `i` of `bins`; returns the action that has just ended, if one has. `asked`: what the crew has been asked for,
   * +1 pumping, −1 bleeding, 0 nothing; a movement the other way that goes on is the pipe's own.
   */
  step(bins: Bins, i: number, asked: -1 | 0 | 1): Action | null {
    if (this.#begun !== null) return this.#whileMoving(bins, i, this.#begun, asked);
    if (this.#showsHose(bins, i)) return null;
    const from = Math.max(this.#quietFrom, i - TREND_BINS);
    this.#quietBins = i - from;
    if (this.#quietBins < 4) return null;
    const trend = fitLine(bins.t_s, bins.p_Pa, from, i);
    const t = at(bins.t_s, i);
    const departure = at(bins.p_Pa, i) - valueAt(trend, t);
    if (Math.abs(departure) <= this.#threshold(t, Math.sign(departure))) {
      this.#sigma_Pa = Math.sqrt((1 - NOISE_MEMORY) * this.#sigma_Pa ** 2 + NOISE_MEMORY * departure ** 2);
      return null;
    }
    const before = at(bins.t_s, i - 1);
    this.#begun = {
      t_s: before,
      p_Pa: valueAt(trend, before),
      slope: trend.slope,
      last_s: t,
    };
    this.moving = true;
    return null;
  }

  /**
   * While air flows, and for some seconds after, the gauge's own tee shows hose: the jump when the flow stops is neither loss
   * nor top-up. Only more of the same counts, as one more stroke.
   */
  #showsHose(bins: Bins, i: number): boolean {
    const last = this.actions.at(-1);
    const t = at(bins.t_s, i);
    if (last === undefined || i === 0 || t >= last.to_s + HOSE_S) return false;
    const before = at(bins.p_Pa, i - 1);
    const change = at(bins.p_Pa, i) - before;
    if (t < last.to_s + HOSE_S / 2) this.#quietFrom = i;
    if (change * last.step_Pa <= 0 || Math.abs(change) <= this.#noiseThreshold()) return true;
    this.#begun = { t_s: at(bins.t_s, i - 1), p_Pa: before, slope: 0, last_s: t };
    this.moving = true;
    return true;
  }

  #whileMoving(bins: Bins, i: number, begun: Begun, asked: -1 | 0 | 1): Action | null {
    const t = at(bins.t_s, i);
    const p = at(bins.p_Pa, i);
    const rate = (p - at(bins.p_Pa, i - 1)) / Math.max(0.5, t - at(bins.t_s, i - 1));
    const step = p - begun.p_Pa - begun.slope * (t - begun.t_s);
    const natural = (1.2 * GIVEN_BACK * Math.abs(step)) / this.#shortTau_s;
    if (Math.abs(rate - begun.slope) > this.#noiseThreshold() + natural) begun.last_s = t;
    if (Math.sign(step) !== asked && t - begun.t_s > OWN_FALL_S) {
      this.#restart(i);
      return null;
    }
    if (t - begun.last_s < 2) return null;
    this.#begun = null;
    this.moving = false;
    this.#restart(i);
    if (Math.abs(step) <= this.#noiseThreshold()) return null;
    const action = { from_s: begun.t_s, to_s: begun.last_s, step_Pa: step };
    this.actions.push(action);
    return action;
  }

  #restart(i: number): void {
    this.#quietFrom = Math.max(0, i - 1);
    this.#begun = null;
    this.moving = false;
  }

  #noiseThreshold(): number {
    return Math.max(5 * this.#sigma_Pa, 1.5 * this.#scale.resolution_Pa, LEAST_PART * this.#scale.test_Pa);
  }

  /** A transient after pumping bends up, after a bleed down; a straight trend runs past it by this much. */
  #threshold(t: number, sign: number): number {
    let bend = 0;
    for (const action of this.actions) {
      if (Math.sign(action.step_Pa) !== sign) continue;
      const left = GIVEN_BACK * Math.abs(action.step_Pa) * Math.exp(-(t - action.to_s) / (5 * this.#shortTau_s));
      bend += (3.5 * left) / this.#shortTau_s ** 2;
    }
    return this.#noiseThreshold() + bend;
  }
}
