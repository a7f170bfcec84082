/** The way down is what lies between these parts of the charge. */
const FULL_PART = 0.95;
const EMPTY_PART = 0.08;

/**
 * Watches the opening after the hold. Nothing in the curve before it shows that the gauge saw the pipe: a shut valve, a
 * kinked hose or a blocked port holds pressure better than any pipe. Opened at the plug, the pipe empties at its own
 * pace; a gauge that follows within one sample saw its own hose, one that does not follow saw nothing.
 */
export class VentWatch {
  /** The gauge has followed the pipe down. */
  proven = false;
  /** The gauge fell at once: it saw no volume. */
  collapsed = false;
  /** The fall has begun. */
  begun = false;
  readonly #full_Pa: number;
  #onTheWay = 0;
  #high_s: number | null = null;
  #low_s: number | null = null;

  /** `full_Pa`: size of the charge when the watch began. */
  constructor(full_Pa: number) {
    this.#full_Pa = full_Pa;
  }

  /** When the pipe was empty; `null` before. */
  get empty_s(): number | null {
    return this.#low_s;
  }

  get empty(): boolean {
    return this.#low_s !== null;
  }

  /** Takes one reading, as size of charge. */
  reading(time_s: number, size_Pa: number): void {
    if (this.empty) return;
    if (size_Pa > FULL_PART * this.#full_Pa) {
      this.#high_s = time_s;
      this.#onTheWay = 0;
      return;
    }
    this.begun = true;
    if (size_Pa > EMPTY_PART * this.#full_Pa) {
      this.#onTheWay++;
      return;
    }
    this.#low_s = time_s;
    this.proven = this.#onTheWay >= 2 || (this.#onTheWay === 1 && time_s - (this.#high_s ?? time_s) >= 1.5);
    this.collapsed = !this.proven;
  }
}
