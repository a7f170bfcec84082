import type { Reading, Reference } from "../driver.ts";
import { Health } from "../judging/health.ts";
import { type Noise, noiseOf, resolutionOf } from "../judging/noise.ts";
import { leakFlow } from "../physics/leak.ts";
import { Gaps } from "./gaps.ts";
import { Means } from "./means.ts";
import { type Rate, rateOf } from "./rate.ts";
import type { GaugeView, Loss, ZeroTaken } from "./view.ts";
import { Window } from "./window.ts";
import { type ZeroOutcome, zeroFrom } from "./zeroing.ts";

/** A spray of water on a joint is seen and heard in this time. */
const QUICK_S = 10;
const STEADY_S = 60;
const MEAN_S = 0.1;
/** Raw readings noise and step are read from: half a minute (a block of noise.ts; in more, the bend of a cooling pipe passes for noise) or two seconds at a thousand a second. */
const RAW = 2048;
const NOISE_S = 30;
const FEWEST_FOR_NOISE = 12;
const MEASURE_S = 5;
const STALE_S = 5;
/** Below this a gauge's own zero decides the sign, and pressure and vacuum cannot be told apart. */
const TELLS_SIGN_Pa = 20;

export interface LiveGaugeFacts {
  reference: Reference;
  /** Air in the section; `null` when size or length were not told. */
  volume_m3: number | null;
}

/**
 * A gauge watched with no test: what its readings, one after the other, say of it and of the pipe. Its memory does not grow: windows,
 * counts and latest figures only.
 */
export class LiveGauge {
  readonly health = new Health();
  readonly #facts: LiveGaugeFacts;
  readonly #means = new Means(MEAN_S, STEADY_S / MEAN_S);
  readonly #raw = new Window(RAW);
  /** Loss of each second, Pa/min. */
  readonly #losses = new Window(STEADY_S);
  readonly #gaps = new Gaps();
  #first_ms: number | null = null;
  #at_s = 0;
  #latest: { pressure_Pa: number; at_s: number } | null = null;
  #status: string | null = null;
  #air_C: number | null = null;
  #ambient_Pa: number | null = null;
  #zero: ZeroTaken | null = null;
  #readings = 0;
  #noise: Noise | null = null;
  #looked_s = Number.NEGATIVE_INFINITY;
  #measured_s = Number.NEGATIVE_INFINITY;

  constructor(facts: LiveGaugeFacts) {
    this.#facts = facts;
  }

  /** Seconds since the first event. */
  seconds(at_ms: number): number {
    this.#first_ms ??= at_ms;
    return (at_ms - this.#first_ms) / 1000;
  }

  time(at_ms: number): void {
    this.#at_s = Math.max(this.#at_s, this.seconds(at_ms));
    if (this.#at_s - this.#looked_s >= 1) this.#look();
  }

  link(up: boolean): void {
    this.health.link(up);
    // What comes after an outage joins nothing that was before it.
    this.#gaps.broken();
  }

  reading(reading: Reading): void {
    const at_s = this.seconds(reading.at_ms);
    this.time(reading.at_ms);
    this.#gaps.reading(reading.at_ms);
    this.#status = reading.pressure_Pa === null ? (reading.status ?? "no value") : null;
    this.#air_C = reading.air_C ?? this.#air_C;
    this.#ambient_Pa = reading.ambient_Pa ?? this.#ambient_Pa;
    if (reading.pressure_Pa === null) return;
    this.#readings++;
    this.health.reading(at_s);
    this.#latest = { pressure_Pa: reading.pressure_Pa, at_s };
    this.#raw.add(at_s, reading.pressure_Pa);
    this.#means.add(at_s, reading.pressure_Pa);
  }

  get readings(): number {
    return this.#readings;
  }

  /** A pressure as shown: less the zero in force. */
  shown_Pa = (pressure_Pa: number): number => pressure_Pa - (this.#zero?.zero_Pa ?? 0);

  /** Takes the zero from what has just been read. */
  takeZero(): ZeroOutcome {
    const outcome = zeroFrom(this.#raw, this.#facts.reference);
    if ("zero_Pa" in outcome) this.#zero = { zero_Pa: outcome.zero_Pa, at_s: this.#at_s };
    return outcome;
  }

  /** Pressures of the last minute in order, for a curve. */
  recent(): { time_s: Float64Array; pressure_Pa: Float64Array } {
    return { time_s: this.#means.window.time_s, pressure_Pa: this.#means.window.value.map(this.shown_Pa) };
  }

  view(): GaugeView {
    const health = this.health.view(this.#at_s);
    const stale = this.#latest === null || !health.up || (health.silent_s ?? 0) > Math.max(STALE_S, 3 / (health.rate_Hz ?? 1));
    const quick = stale ? null : this.#rate(QUICK_S);
    return {
      at_s: this.#at_s,
      pressure_Pa: this.#latest === null || this.#status !== null ? null : this.shown_Pa(this.#latest.pressure_Pa),
      pressureAt_s: this.#latest?.at_s ?? null,
      status: this.#status,
      stale,
      zero: this.#zero,
      quick,
      steady: stale ? null : this.#rate(STEADY_S),
      loss: quick === null ? null : this.#loss(quick),
      noise: this.#noise,
      air_C: this.#air_C,
      ambient_Pa: this.#ambient_Pa,
      gaps: this.#gaps.view(),
      health,
      readings: this.#readings,
    };
  }

  /** Once a second: the loss, for the largest of a minute; now and then what takes a computer longer. */
  #look(): void {
    this.#looked_s = this.#at_s;
    if (this.#raw.length < FEWEST_FOR_NOISE) return;
    if (this.#at_s - this.#measured_s >= MEASURE_S) this.#measure();
    const quick = this.#rate(QUICK_S);
    if (quick !== null) this.#losses.add(this.#at_s, this.#lossOf(quick));
  }

  /** The step wants all there is: a coarse gauge on a tight pipe changes its figure a few times in a minute. */
  #measure(): void {
    this.#measured_s = this.#at_s;
    const { time_s, value } = this.#raw;
    const last_s = time_s.at(-1) ?? 0;
    this.#noise = noiseOf(time_s, value, last_s - NOISE_S, last_s, resolutionOf(value));
  }

  #rate(window_s: number): Rate | null {
    return rateOf(this.#means.window, window_s, this.#noise?.undithered ? this.#noise.resolution_Pa : 0);
  }

  /** A vacuum loses by rising. */
  #lossOf(rate: Rate): number {
    const level_Pa = this.#latest === null ? 0 : this.shown_Pa(this.#latest.pressure_Pa);
    return (level_Pa < -TELLS_SIGN_Pa ? rate.rate_Pa_s : -rate.rate_Pa_s) * 60;
  }

  #loss(rate: Rate): Loss {
    const loss_Pa_min = this.#lossOf(rate);
    const u_Pa_min = rate.u_Pa_s === null ? null : rate.u_Pa_s * 60;
    const recent = this.#losses.value.subarray(Math.max(0, this.#losses.length - STEADY_S));
    const flow = this.#flow(loss_Pa_min / 60);
    return {
      loss_Pa_min,
      u_Pa_min,
      plain: loss_Pa_min > 0 && u_Pa_min !== null && loss_Pa_min > 2 * u_Pa_min,
      largest_Pa_min: recent.reduce((largest, one) => Math.max(largest, one), Math.max(0, loss_Pa_min)),
      rate_L_min: flow === null ? null : flow.at_test_m3_s * 60_000,
      free_air_L_min: flow === null ? null : flow.free_m3_s * 60_000,
    };
  }

  /** None for a rise: air that a pump brings is no leak. */
  #flow(fall_Pa_s: number): ReturnType<typeof leakFlow> | null {
    const { volume_m3 } = this.#facts;
    if (volume_m3 === null || this.#latest === null || !(fall_Pa_s > 0)) return null;
    const gauge_Pa = this.shown_Pa(this.#latest.pressure_Pa);
    return leakFlow(volume_m3, fall_Pa_s, gauge_Pa, this.#ambient_Pa ?? undefined);
  }
}
