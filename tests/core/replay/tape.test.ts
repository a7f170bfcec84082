import { expect, it } from "vitest";
import type { JournalEvent } from "../../../src/core/journal.ts";
import { Tape } from "../../../src/core/replay/tape.ts";
import { everyKind } from "../../support/records.ts";

function taped(events: readonly JournalEvent[]): Tape {
  const tape = new Tape();
  for (const event of events) tape.add(event);
  tape.trim();
  return tape;
}

it("gives every kind of event back as it was", () => {
  const events: JournalEvent[] = everyKind().map((event) => (event.seq % 3 === 2 ? { ...event, line: event.seq } : event));
  const tape = taped(events);
  expect(tape.length).toBe(events.length);
  expect(events.map((_, i) => tape.event(i))).toEqual(events);
});

it("finds the last event that had come; stamps that go back do not take the way back", () => {
  const stamps = [100, 200, 200, 150, 900, 850, 1000];
  const tape = taped(stamps.map((at_ms, seq): JournalEvent => ({ seq, at_ms, wall_ms: at_ms, kind: "wake" })));
  expect([0, 100, 199, 200, 899, 900, 999, 5000].map((at_ms) => tape.indexAt(at_ms))).toEqual([0, 0, 0, 3, 3, 5, 5, 6]);
  expect(tape.event(3).at_ms).toBe(150);
  expect(tape.reached_ms(3)).toBe(200);
});
