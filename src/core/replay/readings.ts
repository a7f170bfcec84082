import type { Reading } from "../driver.ts";
import { float64, uint8, uint32 } from "./growing.ts";

/** One reading as the driver made it, and where on the tape. */
export interface PlacedReading {
  at_s: number;
  /** `null`: the gauge answered without a value; `status` then says why, when it is known. */
  pressure_Pa: number | null;
  unit: string | null;
  air_C: number | null;
  ambient_Pa: number | null;
  status: string | null;
}

const orNull = (value: number): number | null => (Number.isNaN(value) ? null : value);

/** All readings of a recording in arrival order, packed. */
export class Readings {
  readonly #event = uint32();
  readonly #at_s = float64();
  readonly #pressure_Pa = float64();
  readonly #air_C = float64();
  readonly #ambient_Pa = float64();
  readonly #unit = uint8();
  readonly #units: (string | null)[] = [];
  readonly #status = new Map<number, string>();

  get length(): number {
    return this.#event.length;
  }

  add(event: number, at_s: number, reading: Reading): void {
    if (reading.status !== undefined) this.#status.set(this.length, reading.status);
    if (!this.#units.includes(reading.unit)) this.#units.push(reading.unit);
    this.#unit.push(this.#units.indexOf(reading.unit));
    this.#at_s.push(at_s);
    this.#pressure_Pa.push(reading.pressure_Pa ?? Number.NaN);
    this.#air_C.push(reading.air_C ?? Number.NaN);
    this.#ambient_Pa.push(reading.ambient_Pa ?? Number.NaN);
    this.#event.push(event);
  }

  trim(): void {
    for (const column of [this.#event, this.#at_s, this.#pressure_Pa, this.#air_C, this.#ambient_Pa, this.#unit]) column.trim();
  }

  at(i: number): PlacedReading {
    return {
      at_s: this.#at_s.at(i),
      pressure_Pa: orNull(this.#pressure_Pa.at(i)),
      unit: this.#units[this.#unit.at(i)] ?? null,
      air_C: orNull(this.#air_C.at(i)),
      ambient_Pa: orNull(this.#ambient_Pa.at(i)),
      status: this.#status.get(i) ?? null,
    };
  }

  /** How many had come by event `event`, itself counted. */
  countUpTo(event: number): number {
    return this.#event.countUpTo(event);
  }

  /** The event that brought reading `i`. */
  eventOf(i: number): number {
    return this.#event.at(i);
  }

  /** Those that event `event` brought. */
  of(event: number): PlacedReading[] {
    const found: PlacedReading[] = [];
    const to = this.countUpTo(event);
    for (let i = event === 0 ? 0 : this.countUpTo(event - 1); i < to; i++) found.push(this.at(i));
    return found;
  }

  /** Usable ones `from` to before `to`, as a curve wants them. */
  points(from: number, to: number): { at_s: number; pressure_Pa: number }[] {
    const found: { at_s: number; pressure_Pa: number }[] = [];
    for (let i = from; i < to; i++) {
      const pressure_Pa = this.#pressure_Pa.at(i);
      if (!Number.isNaN(pressure_Pa)) found.push({ at_s: this.#at_s.at(i), pressure_Pa });
    }
    return found;
  }
}
