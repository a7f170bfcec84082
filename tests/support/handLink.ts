import type { CrewAct, Driver, DriverEvent, DriverStep } from "../../src/core/driver.ts";
import type { JournalBody } from "../../src/core/journal.ts";
import type { Link, LinkSink, OpenLink } from "../../src/core/link.ts";
import { QueueClock } from "../../src/links/queueClock.ts";

/** A link worked by hand: it says what it is told to say and keeps what it is told. */
export class HandLink implements Link {
  readonly clock = new QueueClock();
  readonly source = "gauge";
  readonly describe = "a gauge worked by hand";
  readonly sent: string[] = [];
  readonly heard: CrewAct[] = [];
  opened = 0;
  closed = 0;
  /** Answers a query at once, while the event that caused it is still being handled. */
  echo = false;
  #sink: LinkSink | null = null;

  open(sink: LinkSink): OpenLink {
    this.opened++;
    this.#sink = sink;
    return {
      send: (bytes) => {
        this.sent.push(Buffer.from(bytes).toString("latin1"));
        if (this.echo) this.says({ kind: "bytes-sent", bytes });
      },
      close: async () => void this.closed++,
    };
  }

  hear(act: CrewAct): void {
    this.heard.push(act);
  }

  says(body: JournalBody): void {
    this.#sink?.event({ ...body, at_ms: this.clock.now_ms(), wall_ms: this.clock.wall_ms() });
  }

  /** One reading of the hand driver, in pascal. */
  reads(pressure_Pa: number): void {
    this.says({ kind: "bytes-in", bytes: Buffer.from(String(pressure_Pa), "latin1") });
  }

  fails(error: unknown): void {
    this.#sink?.fail(error);
  }

  isDone(): void {
    this.#sink?.done();
  }
}

/** A driver whose chunk is a figure in pascal; it asks again after each when `asks`, and wants a wake after `wake_ms`. */
export function handDriver({ asks = false, wake_ms }: { asks?: boolean; wake_ms?: number } = {}): Driver<number> {
  return {
    protocol: "hand",
    reference: "vented",
    link: {},
    start: () => 0,
    next: (count: number, event: DriverEvent): DriverStep<number> => {
      const figure = event.kind === "bytes" ? Number(Buffer.from(event.bytes).toString("latin1")) : Number.NaN;
      const step: DriverStep<number> = {
        state: count + 1,
        readings: Number.isFinite(figure) ? [{ at_ms: event.at_ms, pressure_Pa: figure, unit: null }] : [],
        send: asks ? [Buffer.from(`?${count}`, "latin1")] : [],
        unused: 0,
      };
      return wake_ms === undefined ? step : { ...step, wakeAt_ms: event.at_ms + wake_ms };
    },
  };
}
