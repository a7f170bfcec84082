type Numbers = Float64Array | Uint32Array | Uint8Array;

/** A column of numbers that grows by doubling; a recording of a day must not cost an object a reading. */
export class Growing<T extends Numbers> {
  #data: T;
  readonly #larger: (length: number) => T;
  length = 0;

  /** `make` gives an array of that length, such as `(n) => new Float64Array(n)`. */
  constructor(make: (length: number) => T) {
    this.#larger = make;
    this.#data = make(1024);
  }

  #reserve(more: number): void {
    if (this.length + more <= this.#data.length) return;
    const larger = this.#larger(Math.max(2 * this.#data.length, this.length + more));
    larger.set(this.#data);
    this.#data = larger;
  }

  push(value: number): void {
    this.#reserve(1);
    this.#data[this.length++] = value;
  }

  append(values: ArrayLike<number>): void {
    this.#reserve(values.length);
    this.#data.set(values, this.length);
    this.length += values.length;
  }

  /** Element `i`; outside the column that is a defect of ours. */
  at(i: number): number {
    const value = i < this.length ? this.#data[i] : undefined;
    if (value === undefined) throw new RangeError(`index ${i} outside a column of ${this.length}`);
    return value;
  }

  /** A copy of the elements `from` to before `to`. */
  slice(from: number, to: number): T {
    return this.#data.slice(from, Math.min(to, this.length)) as T;
  }

  /** Gives back what was reserved and not needed. */
  trim(): void {
    this.#data = this.#data.slice(0, this.length) as T;
  }

  /** How many elements, which must not fall, are at most `value`. */
  countUpTo(value: number): number {
    let low = 0;
    let high = this.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.at(middle) <= value) low = middle + 1;
      else high = middle;
    }
    return low;
  }
}

export const float64 = (): Growing<Float64Array> => new Growing((length) => new Float64Array(length));
export const uint32 = (): Growing<Uint32Array> => new Growing((length) => new Uint32Array(length));
export const uint8 = (): Growing<Uint8Array> => new Growing((length) => new Uint8Array(length));
