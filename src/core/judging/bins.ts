import { at } from "../curve.ts";
import { median } from "./lineAt.ts";

/** One second of readings: mean time and mean pressure, odd ones left out. */
export interface Bin {
  t_s: number;
  p_Pa: number;
  n: number;
}

/** What sets the scale of noise: the gauge's step (0 while unknown; it may be learnt as readings come) and the test pressure. */
export interface GaugeScale {
  resolution_Pa: number;
  readonly test_Pa: number;
  /** Every reading counts, however odd; absent: odd ones are left out. */
  readonly unfiltered?: boolean;
}

/**
 * Readings gathered by whole seconds. The live judge decides once a second whatever the gauge's rate, so that a
 * 1000 Hz and a 1 Hz gauge meet the same rules and the windows stay short. A second is taken when the one after it
 * is known too: one that stands apart from both its neighbours is put on the line between them.
 */
export class Bins {
  readonly t_s: number[] = [];
  readonly p_Pa: number[] = [];
  /** Seconds put right because they stood apart. */
  mended = 0;
  #second = Number.NEGATIVE_INFINITY;
  #times: number[] = [];
  #values: number[] = [];
  #pending: Bin | null = null;
  #usualOdd_Pa = 0;
  readonly #scale: GaugeScale;

  constructor(scale: GaugeScale) {
    this.#scale = scale;
  }

  /** Nothing nearer to its neighbours than this is ever called odd. */
  get #oddFloor_Pa(): number {
    return Math.max(3 * this.#scale.resolution_Pa, 0.003 * this.#scale.test_Pa);
  }

  get length(): number {
    return this.t_s.length;
  }

  /** Takes one reading; true when a second has become final by it. */
  push(time_s: number, pressure_Pa: number): boolean {
    const second = Math.floor(time_s);
    const done = second > this.#second && this.#close();
    if (second > this.#second) this.#second = second;
    this.#times.push(time_s);
    this.#values.push(pressure_Pa);
    return done;
  }

  /** Time has moved on to `time_s` without a reading; true when a second has become final by it. */
  passed(time_s: number): boolean {
    if (Math.floor(time_s) <= this.#second) return false;
    const closed = this.#close();
    if (this.#pending === null || time_s - this.#pending.t_s < 3) return closed;
    this.#take(this.#pending);
    this.#pending = null;
    return true;
  }

  #close(): boolean {
    if (this.#values.length === 0) return false;
    const floor_Pa = this.#scale.unfiltered === true ? Number.POSITIVE_INFINITY : this.#oddFloor_Pa;
    const bin = robustMean(this.#times, this.#values, floor_Pa);
    this.#times = [];
    this.#values = [];
    const before = this.#pending;
    this.#pending = bin;
    if (before === null) return false;
    this.#take({ ...before, p_Pa: this.#mended(before, bin) });
    return true;
  }

  #take(bin: Bin): void {
    this.t_s.push(bin.t_s);
    this.p_Pa.push(bin.p_Pa);
  }

  /** Only what stands apart from both neighbours on the same side is odd; a step or a slope has one neighbour with it. */
  #mended(bin: Bin, after: Bin): number {
    const before_Pa = this.p_Pa.at(-1);
    const before_s = this.t_s.at(-1);
    if (this.#scale.unfiltered === true) return bin.p_Pa;
    if (before_Pa === undefined || before_s === undefined || after.t_s - before_s > 6) return bin.p_Pa;
    const expected = before_Pa + ((after.p_Pa - before_Pa) * (bin.t_s - before_s)) / (after.t_s - before_s);
    const apart = Math.min(Math.abs(bin.p_Pa - before_Pa), Math.abs(bin.p_Pa - after.p_Pa));
    const sameSide = (bin.p_Pa - before_Pa) * (bin.p_Pa - after.p_Pa) > 0;
    if (sameSide && apart > Math.max(this.#oddFloor_Pa, 6 * this.#usualOdd_Pa)) {
      this.mended++;
      return expected;
    }
    this.#usualOdd_Pa += 0.05 * (Math.abs(bin.p_Pa - expected) - this.#usualOdd_Pa);
    return bin.p_Pa;
  }
}

/** Mean of those within 6 scaled median deviations of the median; with fewer than four nothing can be told apart. */
function robustMean(times: readonly number[], values: readonly number[], floor_Pa: number): Bin {
  const centre = values.length < 4 ? null : median(values);
  const width =
    centre === null ? Number.POSITIVE_INFINITY : Math.max(floor_Pa, 6 * 1.4826 * median(values.map((v) => Math.abs(v - centre))));
  let n = 0;
  let t = 0;
  let p = 0;
  for (let i = 0; i < values.length; i++) {
    if (centre !== null && Math.abs(at(values, i) - centre) > width) continue;
    n++;
    t += at(times, i);
    p += at(values, i);
  }
  return { t_s: t / n, p_Pa: p / n, n };
}
