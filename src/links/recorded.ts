import type { Curve } from "../core/curve.ts";
import { at } from "../core/curve.ts";
import type { JournalEvent, StampedEvent } from "../core/journal.ts";
import type { Clock, Link, LinkSink, OpenLink, RecordSource } from "../core/link.ts";
import type { QueueClock } from "./queueClock.ts";

export interface RecordedOptions {
  /** The recording's own time; it is moved to each event's stamps before the event is handed on. */
  clock: QueueClock;
  source: RecordSource;
  describe: string;
  /** Absent: as fast as it goes. Else `factor` seconds of recording a second of `clock`. */
  pace?: { factor: number; clock: Clock };
}

/** Events handed on in one go before a key press, a resize or a Ctrl-C gets its turn. */
const EVENTS_A_TURN = 2048;

/** Plays a journal back: the same events, with the stamps they were recorded with. What is sent goes nowhere. */
export function recordedLink(events: Iterable<JournalEvent>, options: RecordedOptions): Link {
  const { clock, source, describe } = options;
  return { clock, source, describe, open: (sink) => play(events[Symbol.iterator](), options, sink) };
}

function play(events: Iterator<JournalEvent>, { clock, pace }: RecordedOptions, sink: LinkSink): OpenLink {
  let stopped = false;
  let cancelTimer = () => {};
  let first: { recorded_ms: number; real_ms: number } | null = null;

  function handOn(event: JournalEvent): void {
    clock.runUntil(event.at_ms);
    clock.stepWall(event.wall_ms - clock.wall_ms());
    sink.event(event);
  }

  /** When the event is due on the pacing clock; `null` when it is due now. */
  function waitFor(event: JournalEvent): number | null {
    if (pace === undefined) return null;
    const now_ms = pace.clock.now_ms();
    first ??= { recorded_ms: event.at_ms, real_ms: now_ms };
    const due_ms = first.real_ms + (event.at_ms - first.recorded_ms) / pace.factor;
    return due_ms > now_ms ? due_ms : null;
  }

  function run(): void {
    for (let handed = 0; !stopped && handed < EVENTS_A_TURN; handed++) {
      const step = events.next();
      if (step.done === true) {
        stopped = true;
        sink.done();
        return;
      }
      const event = step.value;
      const due_ms = waitFor(event);
      if (due_ms !== null && pace !== undefined) {
        cancelTimer = pace.clock.at(
          due_ms,
          guarded(() => {
            handOn(event);
            run();
          }),
        );
        return;
      }
      handOn(event);
    }
    if (!stopped) soon();
  }

  const guarded = (action: () => void) => () => {
    try {
      action();
    } catch (error) {
      stopped = true;
      sink.fail(error);
    }
  };

  function soon(): void {
    const turn = setImmediate(guarded(run));
    cancelTimer = () => clearImmediate(turn);
  }

  soon();
  return {
    send: () => {},
    close: () => {
      stopped = true;
      cancelTimer();
      return Promise.resolve();
    },
  };
}

/** Options under which the `line` driver reads what `curveEvents` writes. */
export const CURVE_LINE: Readonly<Record<string, string>> = {
  separator: "semicolon",
  unit: "Pa",
  airField: "2",
  ambientField: "3",
  ambientUnit: "Pa",
};

/** The shortest decimal that reads back as the same number; empty when nothing was measured. */
const figure = (value: number | null): string => (value === null || Number.isNaN(value) ? "" : String(value));

/**
 * A curve as the bytes a gauge would have sent, one line a row: `pressure;air;ambient` in pascal, degrees Celsius and
 * pascal, so that a recording walks the same way as a gauge. Times are rounded to whole milliseconds, as at any link.
 */
export function* curveEvents(curve: Curve, wallStart_ms: number): Generator<JournalEvent> {
  const encoder = new TextEncoder();
  const stamped = (time_s: number): Pick<StampedEvent, "at_ms" | "wall_ms"> => {
    const at_ms = Math.round(time_s * 1000);
    return { at_ms, wall_ms: wallStart_ms + at_ms };
  };
  const rows = curve.time_s.length;
  const begin_s = rows === 0 ? 0 : at(curve.time_s, 0);
  yield { seq: 0, ...stamped(begin_s), kind: "link-up", detail: "recording" };
  for (let i = 0; i < rows; i++) {
    const air = curve.air_C === null ? null : at(curve.air_C, i);
    const ambient = curve.ambient_Pa === null ? null : at(curve.ambient_Pa, i);
    const text = `${figure(at(curve.pressure_Pa, i))};${figure(air)};${figure(ambient)}\n`;
    yield { seq: i + 1, ...stamped(at(curve.time_s, i)), kind: "bytes-in", bytes: encoder.encode(text) };
  }
}
