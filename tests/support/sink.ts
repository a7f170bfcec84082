import type { JournalKind, StampedEvent } from "../../src/core/journal.ts";
import type { LinkSink } from "../../src/core/link.ts";
import { Watched } from "./until.ts";

/** Keeps what a link hands on, and lets a test wait for it. */
export class KeptSink implements LinkSink {
  readonly events: StampedEvent[] = [];
  readonly failures: unknown[] = [];
  isDone = false;
  /** Answers to events, as a session would give them. */
  reply: (event: StampedEvent) => void = () => {};
  readonly #watched = new Watched();

  event(event: StampedEvent): void {
    this.events.push(event);
    this.reply(event);
    this.#watched.changed();
  }

  fail(error: unknown): void {
    this.failures.push(error);
    this.#watched.changed();
  }

  done(): void {
    this.isDone = true;
    this.#watched.changed();
  }

  kinds(): JournalKind[] {
    return this.events.map((one) => one.kind);
  }

  count(kind: JournalKind): number {
    return this.events.filter((one) => one.kind === kind).length;
  }

  last<K extends JournalKind>(kind: K): Extract<StampedEvent, { kind: K }> | undefined {
    return this.events.findLast((one): one is Extract<StampedEvent, { kind: K }> => one.kind === kind);
  }

  /** All bytes that came in, as Latin-1 text. */
  text(): string {
    return this.events.map((one) => (one.kind === "bytes-in" ? Buffer.from(one.bytes).toString("latin1") : "")).join("");
  }

  until(what: string, isSo: (sink: this) => boolean): Promise<void> {
    return this.#watched.until(what, () => isSo(this));
  }
}
