/**
 * The latest values of something read over time, in memory that never grows. Two plain columns in order of time; when they are
 * full, the newest `capacity` are moved to the front, so that a stretch of them is always one piece and needs no copying.
 */
export class Window {
  readonly capacity: number;
  readonly #time_s: Float64Array;
  readonly #value: Float64Array;
  #end = 0;

  constructor(capacity: number) {
    this.capacity = capacity;
    this.#time_s = new Float64Array(2 * capacity);
    this.#value = new Float64Array(2 * capacity);
  }

  /** Times must not run backwards; one that does counts as the one before it. */
  add(time_s: number, value: number): void {
    if (this.#end === this.#time_s.length) {
      this.#time_s.copyWithin(0, this.capacity);
      this.#value.copyWithin(0, this.capacity);
      this.#end = this.capacity;
    }
    this.#time_s[this.#end] = Math.max(time_s, this.#time_s[this.#end - 1] ?? time_s);
    this.#value[this.#end] = value;
    this.#end++;
  }

  /** Puts another value in place of the newest. */
  replaceLast(time_s: number, value: number): void {
    if (this.#end > 0) this.#end--;
    this.add(time_s, value);
  }

  get length(): number {
    return Math.min(this.#end, this.capacity);
  }

  /** The kept times, oldest first; a view that the next `add` may change. */
  get time_s(): Float64Array {
    return this.#time_s.subarray(this.#end - this.length, this.#end);
  }

  get value(): Float64Array {
    return this.#value.subarray(this.#end - this.length, this.#end);
  }

  clear(): void {
    this.#end = 0;
  }

  /** Bytes held, whatever was added. */
  get size_bytes(): number {
    return this.#time_s.byteLength + this.#value.byteLength;
  }
}
