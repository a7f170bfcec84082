/** Whole numbers in as few bytes as they need: seven bits a byte, the low ones first, the top bit says that more follow. */
export class VarintWriter {
  #bytes = new Uint8Array(256);
  #length = 0;

  /** A whole number ≥ 0, up to 2^53. */
  unsigned(value: number): void {
    if (!Number.isSafeInteger(value) || value < 0) throw new RangeError(`${value} is no whole number from 0`);
    let rest = value;
    while (rest >= 0x80) {
      this.#push((rest % 0x80) + 0x80);
      rest = Math.floor(rest / 0x80);
    }
    this.#push(rest);
  }

  /** Any whole number; small ones of either sign are short: 0, −1, 1, −2 … become 0, 1, 2, 3 … */
  signed(value: number): void {
    this.unsigned(value >= 0 ? 2 * value : -2 * value - 1);
  }

  bytes(): Uint8Array {
    return this.#bytes.slice(0, this.#length);
  }

  #push(byte: number): void {
    if (this.#length === this.#bytes.length) {
      const grown = new Uint8Array(2 * this.#bytes.length);
      grown.set(this.#bytes);
      this.#bytes = grown;
    }
    this.#bytes[this.#length++] = byte;
  }
}

/** Reads what a `VarintWriter` wrote. RangeError at anything it could not have written: the bytes may be a stranger's. */
export class VarintReader {
  readonly #bytes: Uint8Array;
  #at = 0;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  unsigned(): number {
    let value = 0;
    let weight = 1;
    for (let n = 0; n < 8; n++) {
      const byte = this.#bytes[this.#at++];
      if (byte === undefined) throw new RangeError("a number is cut off");
      value += (byte & 0x7f) * weight;
      if (byte < 0x80) {
        if (!Number.isSafeInteger(value)) break;
        return value;
      }
      weight *= 0x80;
    }
    throw new RangeError("a number is too long");
  }

  signed(): number {
    const value = this.unsigned();
    return value % 2 === 0 ? value / 2 : -(value + 1) / 2;
  }

  /** The next `length` bytes as they are. */
  take(length: number): Uint8Array {
    const end = this.#at + length;
    if (end > this.#bytes.length) throw new RangeError("the bytes are cut off");
    const taken = this.#bytes.subarray(this.#at, end);
    this.#at = end;
    return taken;
  }

  get isAtEnd(): boolean {
    return this.#at === this.#bytes.length;
  }
}
