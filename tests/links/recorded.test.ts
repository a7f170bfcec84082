import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { line } from "../../drivers/line.ts";
import type { Curve } from "../../src/core/curve.ts";
import type { Reading } from "../../src/core/driver.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { CURVE_LINE, curveEvents, recordedLink } from "../../src/links/recorded.ts";
import { KeptSink } from "../support/sink.ts";
import { turning } from "../support/until.ts";

const journal: JournalEvent[] = [
  { seq: 0, at_ms: 5, wall_ms: 1_000_005, kind: "link-up", detail: "a gauge" },
  { seq: 1, at_ms: 5, wall_ms: 1_000_005, kind: "bytes-sent", bytes: Uint8Array.of(63) },
  { seq: 2, at_ms: 1000, wall_ms: 1_001_000, kind: "bytes-in", bytes: Uint8Array.of(49, 10) },
  // The wall clock was set back by an hour in between.
  { seq: 3, at_ms: 61_000, wall_ms: -2_539_000, kind: "bytes-in", bytes: Uint8Array.of(50, 10) },
  { seq: 4, at_ms: 61_500, wall_ms: -2_538_500, kind: "end", cause: "finished", detail: "" },
];

const recording = (events: Iterable<JournalEvent>, pace?: { factor: number; clock: QueueClock }) => {
  const clock = new QueueClock();
  const link = recordedLink(events, { clock, source: "imported", describe: "a recording", ...(pace ? { pace } : {}) });
  return { clock, link };
};

describe("playing back", () => {
  test("the same events with the same stamps, and then the end", async () => {
    const { clock, link } = recording(journal);
    const sink = new KeptSink();
    const stamps: [number, number][] = [];
    sink.reply = () => stamps.push([clock.now_ms(), clock.wall_ms()]);
    link.open(sink).send(Uint8Array.of(1));
    expect(sink.events).toEqual([]);
    await sink.until("the end", (kept) => kept.isDone);
    expect(sink.events).toEqual(journal);
    expect(stamps).toEqual(journal.map((one) => [one.at_ms, one.wall_ms]));
    expect(link.source).toBe("imported");
  });

  test("nothing to play ends at once", async () => {
    const sink = new KeptSink();
    recording([]).link.open(sink);
    await sink.until("the end", (kept) => kept.isDone);
    expect(sink.events).toEqual([]);
  });

  test("a recording of any length leaves the event loop its turns and can be stopped in the middle", async () => {
    function* endless(): Generator<JournalEvent> {
      for (let seq = 0; ; seq++) yield { seq, at_ms: seq, wall_ms: seq, kind: "wake" };
    }
    const sink = new KeptSink();
    const open = recording(endless()).link.open(sink);
    await turning("some thousand events", () => sink.events.length > 5000);
    await open.close();
    const heard = sink.events.length;
    await open.close();
    await new Promise((resolve) => setImmediate(resolve));
    expect([sink.events.length, sink.isDone]).toEqual([heard, false]);
  });

  test("a recording that breaks off with an error fails the link", async () => {
    function* torn(): Generator<JournalEvent> {
      yield { seq: 0, at_ms: 0, wall_ms: 0, kind: "wake" };
      throw new Error("torn");
    }
    const sink = new KeptSink();
    recording(torn()).link.open(sink);
    await sink.until("the failure", (kept) => kept.failures.length === 1);
    expect(sink.kinds()).toEqual(["wake"]);
  });
});

describe("paced", () => {
  test("sixty times faster than life, on the handed-in clock, with the recorded stamps", async () => {
    const pacer = new QueueClock();
    pacer.runUntil(500);
    const sink = new KeptSink();
    const arrived: number[] = [];
    sink.reply = () => arrived.push(pacer.now_ms());
    recording(journal, { factor: 60, clock: pacer }).link.open(sink);
    await turning(
      "the end",
      () => sink.isDone,
      () => pacer.runNext(),
    );
    expect(sink.events).toEqual(journal);
    const expected = journal.map((one) => 500 + (one.at_ms - 5) / 60);
    expect(arrived.map((at_ms, i) => Math.abs(at_ms - (expected[i] ?? 0)) < 1e-6)).toEqual(journal.map(() => true));
  });

  test("stopped while waiting it leaves no timer behind", async () => {
    const pacer = new QueueClock();
    const sink = new KeptSink();
    const open = recording(journal, { factor: 1, clock: pacer }).link.open(sink);
    await turning("the first two", () => sink.events.length === 2);
    await open.close();
    expect(pacer.nextDue_ms()).toBeNull();
  });
});

function readBack(curve: Curve): Reading[] {
  const driver = line.create(CURVE_LINE);
  let state = driver.start();
  const readings: Reading[] = [];
  for (const event of curveEvents(curve, 0)) {
    if (event.kind !== "bytes-in") continue;
    const step = driver.next(state, { kind: "bytes", at_ms: event.at_ms, bytes: event.bytes });
    expect(step.unused).toBe(0);
    state = step.state;
    readings.push(...step.readings);
  }
  return readings;
}

describe("a curve as a gauge's bytes", () => {
  test("begins with the line up and is numbered without gaps", () => {
    const curve: Curve = {
      time_s: Float64Array.of(0.5, 1.0006),
      pressure_Pa: Float64Array.of(1078.7315, -3),
      air_C: null,
      ambient_Pa: Float64Array.of(101_325, Number.NaN),
    };
    const events = [...curveEvents(curve, 1000)];
    expect(events.map((one) => [one.seq, one.kind, one.at_ms, one.wall_ms])).toEqual([
      [0, "link-up", 500, 1500],
      [1, "bytes-in", 500, 1500],
      [2, "bytes-in", 1001, 2001],
    ]);
    const texts = events.map((one) => (one.kind === "bytes-in" ? new TextDecoder().decode(one.bytes) : ""));
    expect(texts).toEqual(["", "1078.7315;;101325\n", "-3;;\n"]);
  });

  test("no rows give a line that comes up and says nothing", () => {
    const none = new Float64Array(0);
    expect([...curveEvents({ time_s: none, pressure_Pa: none, air_C: null, ambient_Pa: null }, 0)].map((one) => one.kind)).toEqual([
      "link-up",
    ]);
  });

  test("reads back to the last digit", () => {
    const number = fc.oneof(fc.double({ noDefaultInfinity: true, min: -1e9, max: 1e9 }), fc.constant(Number.NaN));
    fc.assert(
      fc.property(fc.array(fc.tuple(number, number, number), { minLength: 1, maxLength: 20 }), (rows) => {
        const column = (k: 0 | 1 | 2) => Float64Array.from(rows, (row) => row[k]);
        const readings = readBack({
          time_s: Float64Array.from(rows, (_, i) => i),
          pressure_Pa: column(0),
          air_C: column(1),
          ambient_Pa: column(2),
        });
        // A zero on paper has no sign.
        const said = (value: number) => (Number.isNaN(value) ? null : value + 0);
        expect(readings.map((one) => [one.pressure_Pa, one.air_C, one.ambient_Pa])).toEqual(rows.map((row) => row.map(said)));
      }),
    );
  });
});
