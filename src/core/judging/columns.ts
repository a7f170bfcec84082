import type { Curve } from "../curve.ts";

/** A column of numbers that grows; doubling keeps a long recording from copying itself for ever. */
class Column {
  #data = new Float64Array(1024);
  length = 0;

  push(value: number): void {
    if (this.length === this.#data.length) {
      const larger = new Float64Array(2 * this.#data.length);
      larger.set(this.#data);
      this.#data = larger;
    }
    this.#data[this.length++] = value;
  }

  view(): Float64Array {
    return this.#data.subarray(0, this.length);
  }
}

/** The readings of one attempt as they came, in arrival order. */
export class Columns {
  readonly #time = new Column();
  readonly #pressure = new Column();
  readonly #air = new Column();
  readonly #ambient = new Column();
  #anyAir = false;
  #anyAmbient = false;

  get length(): number {
    return this.#time.length;
  }

  push(time_s: number, pressure_Pa: number, air_C: number | null | undefined, ambient_Pa: number | null | undefined): void {
    this.#time.push(time_s);
    this.#pressure.push(pressure_Pa);
    this.#air.push(air_C ?? Number.NaN);
    this.#ambient.push(ambient_Pa ?? Number.NaN);
    this.#anyAir ||= typeof air_C === "number";
    this.#anyAmbient ||= typeof ambient_Pa === "number";
  }

  /** Live views into the columns: valid until the next `push`. */
  curve(): Curve {
    return {
      time_s: this.#time.view(),
      pressure_Pa: this.#pressure.view(),
      air_C: this.#anyAir ? this.#air.view() : null,
      ambient_Pa: this.#anyAmbient ? this.#ambient.view() : null,
    };
  }
}
