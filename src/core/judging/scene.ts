import { at } from "../curve.ts";
import { type Limits, signOf } from "../methods/limits.ts";
import { Bins, type GaugeScale } from "./bins.ts";
import { Flow } from "./flow.ts";
import { fitLine, type Line, valueAt } from "./line.ts";
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

/** Shorter windows than this show noise, not settling. */
const LEAST_WINDOW_S = 20;

/** What the live judge's phases look at: the curve by seconds, and the method's figures as sizes of charge. */
export class Scene {
  readonly limits: Limits;
  readonly sign: 1 | -1;
  readonly charge_Pa: number;
  readonly test_Pa: number;
  readonly tolerance_Pa: number;
  /** Half-width of the band the live judge starts in: a little inside the tolerance, for what the estimate may be off. */
  readonly band_Pa: number;
  readonly permitted_Pa: number;
  readonly allowance_Pa: number;
  readonly top_Pa: number;
  readonly tau_s: number;
  readonly scale: GaugeScale;
  readonly bins: Bins;
  readonly flow: Flow;

  constructor(limits: Limits, resolution_Pa: number, unfiltered = false) {
    this.limits = limits;
    this.sign = signOf(limits);
    this.charge_Pa = Math.abs(limits.charge_Pa);
    this.test_Pa = Math.abs(limits.test_Pa);
    this.top_Pa = Math.abs(limits.top_Pa);
    this.tolerance_Pa = limits.startTolerance_Pa;
    this.band_Pa = 0.9 * limits.startTolerance_Pa;
    this.permitted_Pa = limits.permittedDrop_Pa;
    this.allowance_Pa = ALLOWED_PART * limits.permittedDrop_Pa;
    this.tau_s = airTimeConstant_s(limits.dn_mm);
    this.scale = { resolution_Pa, test_Pa: this.test_Pa, unfiltered };
    this.bins = new Bins(this.scale);
    this.flow = new Flow(this.scale, this.tau_s);
  }

  /** Smallest step the gauge shows; 0 while unknown. */
  get resolution_Pa(): number {
    return this.scale.resolution_Pa;
  }

  get actions(): readonly Action[] {
    return this.flow.actions;
  }

  /** When the last pumping or bleeding ended; −∞ before any. */
  get lastAction_s(): number {
    return this.flow.actions.at(-1)?.to_s ?? Number.NEGATIVE_INFINITY;
  }

  /**
   * How long windows this pipe can afford: a leaking one crosses from the charge pressure to the test pressure before the
   * usual ones have passed.
   */
  affordable_s(): number {
    const usual = firstWindow_s(3 * this.tau_s);
    const fall = this.fall_Pa_s() ?? 0;
    if (fall <= 0) return usual;
    const falling_s = (Math.max(this.charge_Pa - this.test_Pa, this.tolerance_Pa) / fall - HOSE_S - 5) / 2;
    return Math.min(usual, Math.max(LEAST_WINDOW_S, falling_s));
  }

  /** Transient to come by the change of slope since the last action and the hose's own seconds. */
  transient(since_s: number): Transient | null {
    return transientToCome({
      t_s: this.bins.t_s,
      p_Pa: this.bins.p_Pa,
      since_s: since_s + HOSE_S,
      holdSeconds: this.limits.hold_s,
      tau_s: 3 * this.tau_s,
      allowance_Pa: this.allowance_Pa,
      resolution_Pa: this.resolution_Pa,
      shortest_s: this.affordable_s(),
    });
  }

  /** Transient to come by physics alone, from the steps made since `from_s`. */
  bound(from_s: number, now_s: number): { adds_Pa: number; hides_Pa: number } {
    return boundOfActions(
      this.flow.actions.filter((action) => action.to_s >= from_s),
      now_s,
      3 * this.tau_s,
    );
  }

  /** The same with the time constant at the upper end of what is likely, rather than of what is safe. */
  likely(now_s: number): { adds_Pa: number; hides_Pa: number } {
    return boundOfActions(this.flow.actions, now_s, 1.6 * this.tau_s);
  }

  /** True when the pipe falls through the start band faster than it can be shown to have settled. */
  leaving(): boolean {
    return this.affordable_s() < firstWindow_s(3 * this.tau_s);
  }

  /** The trend of the last `span_s` seconds, not reaching back over the last action and the hose's own seconds. */
  trend(span_s: number): Line | null {
    const now = this.bins.t_s.at(-1);
    if (now === undefined) return null;
    const from = indexFrom(this.bins.t_s, Math.max(now - span_s, this.lastAction_s + HOSE_S));
    const line = fitLine(this.bins.t_s, this.bins.p_Pa, from, this.bins.length);
    return line.n >= 3 ? line : null;
  }

  /** Charge now, from a few seconds of readings; the last second alone when the pipe was just touched. */
  now_Pa(): number {
    const line = this.trend(8);
    const last = this.bins.length - 1;
    return line === null ? at(this.bins.p_Pa, last) : valueAt(line, at(this.bins.t_s, last));
  }

  /** How fast the charge is being lost, Pa/s; `null` while too little was seen since the last action. */
  fall_Pa_s(): number | null {
    const line = this.trend(30);
    return line === null || line.n < 5 ? null : -line.slope;
  }
}
