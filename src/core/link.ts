import type { CrewAct } from "./driver.ts";
import type { StampedEvent } from "./journal.ts";

/**
 * Time, handed in. `now_ms` is an integer millisecond of a monotonic clock, `wall_ms` of the wall clock.
 * A real one is made in main.ts, a virtual one in tests; a simulated pipe brings its own.
 */
export interface Clock {
  now_ms(): number;
  wall_ms(): number;
  /** Runs `action` once at `due_ms` (at once when that is past); returns its cancellation. */
  at(due_ms: number, action: () => void): () => void;
}

/** Where a link hands its stamped events. `fail` ends the link for good with a StaunchError. */
export interface LinkSink {
  event(event: StampedEvent): void;
  fail(error: unknown): void;
  /** No more events will come (a recording has been played to its end). */
  done(): void;
}

export interface OpenLink {
  /** Writes to the line; what was really written comes back as a `bytes-sent` event. */
  send(bytes: Uint8Array): void;
  /** Idempotent; resolves when the line is released. */
  close(): Promise<void>;
}

/** Bytes in and out as stamped events. */
export interface Link {
  /** The clock this link's stamps are taken from; timers of the session run on it. */
  readonly clock: Clock;
  /** What the record's `source` will say. */
  readonly source: RecordSource;
  /** For people: the gauge's address without secrets. */
  readonly describe: string;
  open(sink: LinkSink): OpenLink;
  /** Only a simulated crew listens. */
  hear?(act: CrewAct): void;
}

/** Where readings can come from. Only `gauge` can prove a section. */
export const RECORD_SOURCES = ["gauge", "simulated", "imported", "pseudo-terminal"] as const;
export type RecordSource = (typeof RECORD_SOURCES)[number];
