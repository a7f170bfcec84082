import type { JournalEvent } from "../core/journal.ts";
import type { RecordEnd, RecordWriter } from "../core/record.ts";

/**
 * A writer that makes its record only when the first usable reading is there: a gauge that never spoke leaves no record.
 * What came before is kept and goes in first.
 */
export class LateWriter {
  #waiting: JournalEvent[] = [];
  #writer: RecordWriter | null = null;
  readonly #create: () => RecordWriter;
  readonly #onTrouble: (error: unknown) => void;

  /** `onTrouble` hears of a disk that takes nothing more (full, read-only, long locked) while the test goes on. */
  constructor(create: () => RecordWriter, onTrouble: (error: unknown) => void) {
    this.#create = create;
    this.#onTrouble = onTrouble;
  }

  get made(): boolean {
    return this.#writer !== null;
  }

  append(event: JournalEvent): void {
    if (this.#writer === null) this.#waiting.push(event);
    else this.#writer.append(event);
  }

  /** Makes the record; a StaunchError when the archive cannot take it. */
  make(): void {
    if (this.#writer !== null) return;
    this.#writer = this.#create();
    this.#writer.onTrouble(this.#onTrouble);
    for (const event of this.#waiting) this.#writer.append(event);
    this.#waiting = [];
  }

  async end(end: RecordEnd): Promise<void> {
    await this.#writer?.end(end);
  }
}
