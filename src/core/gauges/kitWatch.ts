import { Columns } from "../judging/columns.ts";
import { type Budget, combined_Pa, estimateDrop } from "../judging/drop.ts";
import type { GaugeFacts } from "../record.ts";

export type KitPhase = "charge" | "rest" | "hold" | "over";

export interface KitResult {
  /** When the hold began, size of the pressure there, drop and its standard uncertainty. */
  start_Pa: number;
  duration_s: number;
  drop_Pa: number;
  u_drop_Pa: number;
  allowed_Pa: number;
  passed: boolean;
  /** The kit could not hold its charge at all. */
  lost: boolean;
}

/** A capped hose comes near the temperature of the air around it in this time after pumping. Common practice, no source. */
export const REST_S = 180;
const CHARGED_PART = 0.95;
const LOST_PART = 0.5;
const STROKE_PART = 0.005;
const STROKE_FROM_HOLD_PART = 0.02;
const LEAST_Pa = 10;
/** A hose that loses a hundredth of its charge makes less than a pascal of it in a pipe of some hundred times its volume. */
const LEAST_PART = 0.01;
/** Longer than the rests of a hand pump: whoever has not moved it for so long has done. */
const PUMPED_S = 8;
/** Nobody keeps a hose steadier than this without a bath; it is what air of 293 K makes of it that counts. */
const STEADY_K = 0.1;
const AIR_K = 293;
const AMBIENT_Pa = 101_325;

/**
 * What a capped kit may lose: 10 Pa, a hundredth of its charge, what 0.1 K makes of the air in the hose (at constant volume p/T a kelvin), or
 * twice the standard uncertainty of the drop, whichever is most. Common practice, no source.
 */
export const allowedFor = (charge_Pa: number, u_Pa: number): number =>
  Math.max(LEAST_Pa, LEAST_PART * Math.abs(charge_Pa), ((AMBIENT_Pa + charge_Pa) / AIR_K) * STEADY_K, 2 * u_Pa);

/**
 * A kit check, reading by reading: charged, at rest for three minutes, held. It starts by itself; a stroke of the pump starts the rest anew.
 *
 *     charge ─ at 95 %, pump still ─► rest ─ 3 min without a stroke ─► hold ─ its time ─► over
 *                                      ▲────────── stroke ─────────────┘   (below half: over, lost)
 */
export class KitWatch {
  phase: KitPhase = "charge";
  result: KitResult | null = null;
  /** Over, but an end of the hold was not measured. */
  unmeasured = false;
  readonly #target_Pa: number;
  readonly #duration_s: number;
  readonly #gauge: GaugeFacts;
  readonly #allowed_Pa: number | null;
  readonly #columns = new Columns();
  #highest_Pa = 0;
  #stroke_s = 0;
  #from_s = 0;
  #start_Pa = 0;

  /** `target_Pa` negative for vacuum; `allowed_Pa` `null`: by the rule of `allowedFor`. */
  constructor(wishes: { target_Pa: number; duration_s: number; gauge: GaugeFacts; allowed_Pa: number | null }) {
    this.#target_Pa = wishes.target_Pa;
    this.#duration_s = wishes.duration_s;
    this.#gauge = wishes.gauge;
    this.#allowed_Pa = wishes.allowed_Pa;
  }

  /** When the phase it is in will be over, if nothing disturbs it; `null` while charging. */
  get until_s(): number | null {
    if (this.phase === "rest") return this.#stroke_s + REST_S;
    return this.phase === "hold" ? this.#from_s + this.#duration_s : null;
  }

  reading(at_s: number, pressure_Pa: number): void {
    if (this.phase === "over") return;
    const size_Pa = Math.sign(this.#target_Pa) * pressure_Pa;
    const charge_Pa = Math.abs(this.#target_Pa);
    this.#columns.push(at_s, size_Pa, null, null);
    if (this.#isStroke(size_Pa, charge_Pa)) this.#stroke(at_s, size_Pa);
    const isStill = at_s - this.#stroke_s >= PUMPED_S;
    if (this.phase === "charge" && isStill && this.#highest_Pa >= CHARGED_PART * charge_Pa) this.phase = "rest";
    if (this.phase === "charge") return;
    if (size_Pa < LOST_PART * charge_Pa) return this.#lost(at_s, size_Pa, charge_Pa);
    if (this.phase === "rest" && at_s - this.#stroke_s >= REST_S) {
      this.phase = "hold";
      this.#from_s = at_s;
      this.#start_Pa = size_Pa;
    }
    if (this.phase === "hold" && at_s - this.#from_s >= this.#duration_s) this.#held();
  }

  #isStroke(size_Pa: number, charge_Pa: number): boolean {
    if (this.phase === "hold") return size_Pa > this.#start_Pa + STROKE_FROM_HOLD_PART * charge_Pa;
    return size_Pa > this.#highest_Pa + STROKE_PART * charge_Pa;
  }

  #stroke(at_s: number, size_Pa: number): void {
    this.#highest_Pa = size_Pa;
    this.#stroke_s = at_s;
    if (this.phase === "hold") this.phase = "rest";
  }

  #held(): void {
    const hold = { from_s: this.#from_s, to_s: this.#from_s + this.#duration_s };
    const { time_s, pressure_Pa: size_Pa } = this.#columns.curve();
    const clean = { from_s: this.#stroke_s + REST_S / 2, to_s: Number.POSITIVE_INFINITY };
    const { drop_Pa, budget, start } = estimateDrop({ time_s, size_Pa, gauge: this.#gauge, hold, clean, breaks_s: [] });
    this.phase = "over";
    if (drop_Pa === null || budget === null || start === null) this.unmeasured = true;
    else this.#tell(start.size_Pa, this.#duration_s, drop_Pa, uOf(budget), false);
  }

  #lost(at_s: number, size_Pa: number, charge_Pa: number): void {
    const from_s = this.phase === "hold" ? this.#from_s : this.#stroke_s;
    this.phase = "over";
    this.#tell(charge_Pa, at_s - from_s, charge_Pa - size_Pa, 0, true);
  }

  #tell(start_Pa: number, duration_s: number, drop_Pa: number, u_drop_Pa: number, lost: boolean): void {
    const allowed_Pa = this.#allowed_Pa ?? allowedFor(start_Pa, u_drop_Pa);
    // A rise as large tells of sun on the hose or of a gauge that wanders: nothing is shown by it either.
    const passed = !lost && Math.abs(drop_Pa) <= allowed_Pa;
    this.result = { start_Pa, duration_s, drop_Pa, u_drop_Pa, allowed_Pa, passed, lost };
  }
}

/** Two readings at nearly one pressure share the error of their scale's shape. */
const uOf = (budget: Budget): number => combined_Pa({ ...budget, linearity_Pa: 0 });
