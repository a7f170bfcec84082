import type { RecordEnd, RecordStart } from "../core/record.ts";
import type { Archive } from "./open.ts";
import { insertAttempt, type Sealing, sealRecord } from "./sealRecord.ts";

/** The seal of a record that is being written. Without `sealing` it does nothing: the record stays unsealed. */
export class PendingSeal {
  readonly #archive: Archive;
  readonly #start: RecordStart;
  #sealing: Sealing | null;
  #attempt: number | null = null;

  constructor(archive: Archive, start: RecordStart, sealing: Sealing | null) {
    this.#archive = archive;
    this.#start = start;
    this.#sealing = sealing;
  }

  /** Counts the attempt of a real gauge; others prove nothing. A key that cannot count leaves the record unsealed and stops no test. */
  count(): void {
    if (this.#sealing === null || this.#start.source !== "gauge") return;
    try {
      this.#attempt = this.#sealing.key.beginAttempt();
    } catch (error) {
      this.#sealing.onUnsealed(error instanceof Error ? error.message : String(error));
      this.#sealing = null;
    }
  }

  /** The start was refused: a disk without room must not look like a test thrown away. */
  refused(): void {
    if (this.#attempt === null || this.#sealing === null) return;
    try {
      this.#sealing.key.giveBack(this.#attempt);
    } catch {
      // A full disk may refuse this too; `verify` then tells of one attempt that left no record, which is so.
    }
    this.#attempt = null;
  }

  /** In the transaction that writes the start. */
  started(record: number): void {
    if (this.#attempt !== null && this.#sealing !== null)
      insertAttempt(this.#archive, record, this.#sealing.key.fingerprint, this.#attempt);
  }

  /** In the transaction that writes the end. */
  ended(record: number, end: RecordEnd, wall_ms: number): void {
    if (this.#sealing !== null) sealRecord(this.#archive, record, this.#start, end, this.#sealing, wall_ms);
  }
}
