import { expect, it } from "vitest";
import type { JournalBody } from "../../src/core/journal.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { Quiet } from "../../src/session/quiet.ts";

function listening() {
  const clock = new QueueClock();
  const told: JournalBody[] = [];
  return { clock, told, quiet: new Quiet(clock, (body) => void told.push(body)) };
}

it("tells silence by the second and falls quiet when closed", () => {
  const { clock, told, quiet } = listening();
  clock.runUntil(2000);
  expect(told).toEqual([
    { kind: "silence", since_ms: 0 },
    { kind: "silence", since_ms: 0 },
  ]);
  quiet.close();
  expect(clock.nextDue_ms()).toBeNull();
});

it("wakes once when wished, at the last wish, not at all when it is taken back", () => {
  const { clock, told, quiet } = listening();
  quiet.wakeAt(200);
  quiet.wakeAt(300);
  quiet.heard(0);
  clock.runUntil(250);
  expect(told).toEqual([]);
  clock.runUntil(900);
  expect(told).toEqual([{ kind: "wake" }]);
  quiet.wakeAt(950);
  quiet.wakeAt(null);
  clock.runUntil(990);
  expect(told).toHaveLength(1);
});
