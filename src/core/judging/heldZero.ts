import type { Reading, Reference } from "../driver.ts";

/** The open gauge's first readings, whose mean is its zero, ms. */
const FIRST_MS = 5000;
/** No barometer moves faster than this for long (4 hPa an hour, a deep low going by), and every pump does. */
const BAROMETER_Pa_S = 0.1;
/** Farther from the zero than this, twice running, is a pressure put on: the zero stays as it is from then on. */
const PUT_ON_Pa = 30;

/** No air anywhere presses harder (about 1084 hPa at sea level is the highest on record, from memory): such a gauge was joined to a charged pipe. */
const NO_AIR_Pa = 108_600;

/**
 * The zero of an absolute gauge: what it shows open to the air before charging. It follows the barometer until the first pressure is put on
 * and is then held, so that what is judged is the pressure above the air of that moment.
 */
export class HeldZero {
  #zero_Pa: number | null = null;
  #first_ms = 0;
  #last_ms = 0;
  #count = 0;
  #away = 0;

  /** `null` before the first reading. */
  get zero_Pa(): number | null {
    return this.#zero_Pa;
  }

  /** A zero told from outside takes the place of the one found, and is held. */
  hold(zero_Pa: number): void {
    this.#zero_Pa = zero_Pa;
    this.#away = 2;
  }

  /** The reading less the zero. */
  taken(reading: Reading): Reading {
    const { pressure_Pa, at_ms } = reading;
    if (pressure_Pa === null) return reading;
    // Taken for the zero of a charged pipe it would have the crew pump to twice the charge.
    if (this.#zero_Pa === null && pressure_Pa > NO_AIR_Pa) return { ...reading, pressure_Pa: null, status: "no-zero" };
    this.#zero_Pa ??= this.#begin(pressure_Pa, at_ms);
    if (this.#away < 2) this.#zero_Pa = this.#followed(this.#zero_Pa, pressure_Pa, at_ms);
    this.#last_ms = at_ms;
    return { ...reading, pressure_Pa: pressure_Pa - this.#zero_Pa };
  }

  #begin(pressure_Pa: number, at_ms: number): number {
    this.#first_ms = at_ms;
    this.#last_ms = at_ms;
    return pressure_Pa;
  }

  #followed(zero_Pa: number, pressure_Pa: number, at_ms: number): number {
    const off_Pa = pressure_Pa - zero_Pa;
    this.#away = Math.abs(off_Pa) > PUT_ON_Pa ? this.#away + 1 : 0;
    if (this.#away > 0) return zero_Pa;
    this.#count++;
    if (at_ms - this.#first_ms <= FIRST_MS) return zero_Pa + off_Pa / this.#count;
    const most_Pa = (BAROMETER_Pa_S * Math.max(0, at_ms - this.#last_ms)) / 1000;
    return zero_Pa + Math.max(-most_Pa, Math.min(most_Pa, off_Pa));
  }
}

/** Only an absolute gauge needs one. */
export const heldZeroFor = (reference: Reference): HeldZero | null => (reference === "absolute" ? new HeldZero() : null);
