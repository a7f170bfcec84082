/**
 * The journal: every input of one attempt, in order. Readings, phases, prompts and the verdict are
 * folded from it and never written into it.
 */

/** Why an attempt stopped. `interrupted` also stands for a process that died and was found later. */
export type EndCause = "finished" | "user" | "interrupted" | "link-lost" | "failed";

/** What happened, without its stamps. */
export type JournalBody =
  | { kind: "bytes-in"; bytes: Uint8Array }
  | { kind: "bytes-sent"; bytes: Uint8Array }
  /** The line is open; `detail` says how (port, settings, identity of the adapter). */
  | { kind: "link-up"; detail: string }
  /** The line is gone; `reason` is one plain sentence. */
  | { kind: "link-down"; reason: string }
  /** Nothing has arrived since `since_ms` (same clock as `at_ms`). */
  | { kind: "silence"; since_ms: number }
  /** The driver's timer came due. */
  | { kind: "wake" }
  /** A key a person pressed, as an action word: `stop`, `vented`, `skip-vent`. */
  | { kind: "key"; action: string }
  /** Zero taken for a gauge: subtract `zero_Pa` from every later reading. */
  | { kind: "zero"; zero_Pa: number }
  | { kind: "end"; cause: EndCause; detail: string };

export type JournalKind = JournalBody["kind"];

/** When it happened: integer milliseconds of a monotonic clock, and of the wall clock (Unix epoch). */
export interface Stamp {
  at_ms: number;
  wall_ms: number;
  /** Which gauge of the test it came from, from 1 in the order of the record's `also`; absent: the one on the pipe, or no gauge. */
  line?: number;
}

/** What a link emits: stamped at the rim, before storage and judge see it. */
export type StampedEvent = JournalBody & Stamp;

/** One line of the journal; `seq` counts from 0 without gaps. */
export type JournalEvent = StampedEvent & { seq: number };
