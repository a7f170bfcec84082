import type { JournalEvent } from "../core/journal.ts";
import type { Clock } from "../core/link.ts";
import type { RecordEnd, RecordStart, RecordWriter } from "../core/record.ts";
import { type AppendEvents, appender } from "./journal.ts";
import type { Archive } from "./open.ts";
import { PendingSeal } from "./pendingSeal.ts";
import { insertEnd, insertStart } from "./recordRows.ts";
import type { Sealing } from "./sealRecord.ts";
import { archiveError, isBusy } from "./trouble.ts";

/**
 * One transaction at most so often. Data must be on disk 250 ms after it arrived (design §6), and a commit on a slow card or
 * behind a drawn frame takes tens of milliseconds, so we stay well under it.
 */
const FLUSH_MS = 150;
/** After a refusal; short, so that a lock held for a moment costs little of the 250 ms. */
const RETRY_MS = 50;
/** A lock held longer than this is told to the crew: readings are then only in memory. */
const LONG_BUSY_MS = 2000;
/** After a refusal of `end` that is no lock; what is sealed is then packed anew. */
const END_RETRY_MS = 1000;
/** How long `end` goes on trying. */
const END_WAIT_MS = 5000;

/**
 * Starts a record. Its start is on disk when this returns; when another program holds the archive locked just then, it goes in with
 * the first events. `clock` times the flushes: hand in the real one even for a simulated gauge, for it is real power that fails.
 * With `sealing` the attempt is counted now (that of a real gauge: others prove nothing), and the end seals the record. Throws a StaunchError
 * when the archive cannot be written (full, read-only).
 */
export function createRecord(archive: Archive, start: RecordStart, clock: Clock, sealing: Sealing | null = null): RecordWriter {
  const writer = new ArchiveWriter(archive, start, clock, sealing);
  writer.begin();
  archive.beforeClose(() => writer.settle());
  return writer;
}

class ArchiveWriter implements RecordWriter {
  readonly #archive: Archive;
  readonly #start: RecordStart;
  readonly #clock: Clock;
  readonly #insert: AppendEvents;
  readonly #seal: PendingSeal;
  readonly #listeners: ((error: unknown) => void)[] = [];
  /** `null` until the start is on disk. */
  #record: number | null = null;
  #queue: JournalEvent[] = [];
  #cancelTimer: (() => void) | null = null;
  #busySince_ms: number | null = null;
  #trouble: unknown = null;
  /** Ended or closed: nothing more is taken. */
  #isOver = false;

  constructor(archive: Archive, start: RecordStart, clock: Clock, sealing: Sealing | null) {
    this.#archive = archive;
    this.#start = start;
    this.#clock = clock;
    this.#insert = appender(archive.db);
    this.#seal = new PendingSeal(archive, start, sealing);
  }

  begin(): void {
    this.#seal.count();
    const error = this.#write(null);
    if (error === null) return;
    if (!isBusy(error)) {
      this.#seal.refused();
      throw archiveError(error, this.#archive.path);
    }
    this.#flushIn(RETRY_MS);
  }

  /** Only queues. What comes after `end`, or after the archive was closed, belongs to no record and is let go. */
  append(event: JournalEvent): void {
    if (this.#isOver) return;
    this.#queue.push(event);
    this.#flushIn(FLUSH_MS);
  }

  onTrouble(listener: (error: unknown) => void): void {
    this.#listeners.push(listener);
    if (this.#trouble !== null) listener(this.#trouble);
  }

  /** Tries for 5 s; then rejects (exit 74), leaving the journal so far for the next start to close. May be called again. */
  end(end: RecordEnd): Promise<void> {
    this.#stopTimer();
    const giveUp_ms = this.#clock.now_ms() + END_WAIT_MS;
    return new Promise((resolve, reject) => {
      const attempt = (): void => {
        const error = this.#write(end);
        if (error === null) resolve();
        else if (this.#clock.now_ms() < giveUp_ms && this.#archive.db.open)
          this.#clock.at(this.#clock.now_ms() + (isBusy(error) ? RETRY_MS : END_RETRY_MS), attempt);
        else {
          this.#write(null);
          reject(archiveError(error, this.#archive.path));
        }
      };
      attempt();
    });
  }

  /** The archive is about to be closed or this record to be taken for broken off: one last try, no more timers. */
  settle(): void {
    this.#stopTimer();
    this.#write(null);
    this.#isOver = true;
  }

  #flushIn(wait_ms: number): void {
    if (this.#cancelTimer !== null) return;
    this.#cancelTimer = this.#clock.at(this.#clock.now_ms() + wait_ms, () => {
      this.#cancelTimer = null;
      if (this.#write(null) !== null) this.#flushIn(RETRY_MS);
    });
  }

  #stopTimer(): void {
    this.#cancelTimer?.();
    this.#cancelTimer = null;
  }

  /** What is not on disk yet, and the end when there is one, in one transaction. What went wrong comes back; all is then kept. */
  #write(end: RecordEnd | null): unknown {
    if (end === null && this.#queue.length === 0 && this.#record !== null) return null;
    const { db } = this.#archive;
    try {
      this.#record = db
        .transaction(() => {
          const record = this.#record ?? insertStart(db, this.#start);
          if (this.#record === null) this.#seal.started(record);
          this.#insert(record, this.#queue);
          if (end === null) return record;
          insertEnd(db, record, end);
          this.#seal.ended(record, end, this.#clock.wall_ms());
          return record;
        })
        .immediate();
    } catch (error) {
      this.#tell(error);
      return error;
    }
    this.#queue = [];
    this.#isOver = end !== null;
    this.#busySince_ms = null;
    this.#trouble = null;
    return null;
  }

  /** Each kind of trouble is told once until a write succeeds; a lock only when it lasts. */
  #tell(error: unknown): void {
    if (isBusy(error)) {
      this.#busySince_ms ??= this.#clock.now_ms();
      if (this.#clock.now_ms() - this.#busySince_ms < LONG_BUSY_MS) return;
    }
    const said = archiveError(error, this.#archive.path);
    if (codeOf(said) === codeOf(this.#trouble)) return;
    this.#trouble = said;
    for (const listener of this.#listeners) listener(said);
  }
}

const codeOf = (error: unknown): unknown => (error instanceof Error && "code" in error ? error.code : String(error));
