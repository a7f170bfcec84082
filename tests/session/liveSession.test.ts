import { Subject } from "rxjs";
import { beforeEach, describe, expect, it } from "vitest";
import { LiveGauge } from "../../src/core/live/liveGauge.ts";
import { type LiveParts, type LiveUpdate, watchGauge } from "../../src/session/liveSession.ts";
import { HandLink, handDriver } from "../support/handLink.ts";

let link = new HandLink();
let keys = new Subject<string>();
let updates: LiveUpdate[] = [];
let ended: unknown = "running";

beforeEach(() => {
  link = new HandLink();
  keys = new Subject();
  updates = [];
  ended = "running";
});

function watch(more: Partial<LiveParts> = {}) {
  const gauge = new LiveGauge({ reference: "vented", volume_m3: null });
  const parts = { link, driver: handDriver(), gauge, keys, patience_ms: 20_000, ...more };
  return watchGauge(parts).subscribe({
    next: (update) => updates.push(update),
    error: (error: unknown) => {
      ended = error;
    },
    complete: () => {
      ended = "complete";
    },
  });
}

const kinds = () => updates.map(({ event }) => event.kind);

describe("a gauge watched with no test", () => {
  it("is read by its driver and folded, and the line is released at the end", () => {
    watch();
    link.says({ kind: "link-up", detail: "open" });
    link.reads(1000);
    expect(updates.at(-1)?.readings).toEqual([{ at_ms: 0, pressure_Pa: 1000, unit: null }]);
    expect(updates.at(-1)?.gauge.view()).toMatchObject({ pressure_Pa: 1000, readings: 1 });
    keys.next("stop");
    expect(ended).toBe("complete");
    expect(kinds()).toEqual(["link-up", "bytes-in", "end"]);
    expect(link.closed).toBe(1);
    expect(link.clock.nextDue_ms()).toBeNull();
  });

  it("asks what the driver wants asked, when it wants to", () => {
    watch({ driver: handDriver({ asks: true, wake_ms: 300 }) });
    link.says({ kind: "link-up", detail: "open" });
    link.clock.runUntil(700);
    expect(link.sent).toEqual(["?0", "?1", "?2"]);
  });

  it("ends by itself after so many seconds of the link's clock", () => {
    watch({ seconds: 2.5 });
    link.says({ kind: "link-up", detail: "open" });
    link.reads(1);
    link.clock.runUntil(2499);
    expect(ended).toBe("running");
    link.clock.runUntil(2500);
    expect(ended).toBe("complete");
  });

  it("loses patience (69) with a gauge that never says anything usable, not with one that falls silent later", () => {
    watch();
    link.says({ kind: "link-up", detail: "open" });
    link.says({ kind: "bytes-in", bytes: Buffer.from("noise") });
    link.clock.runUntil(20_000);
    expect(ended).toMatchObject({ code: "gauge-no-reading", exit: 69, message: "No reading came from a gauge worked by hand in 20 s." });
    expect(link.closed).toBe(1);
    link = new HandLink();
    ended = "running";
    watch();
    link.reads(5);
    link.clock.runUntil(100_000);
    expect(ended).toBe("running");
    expect(updates.at(-1)?.gauge.view().stale).toBe(true);
  });

  it("passes on what ends the link, and ends when the link has no more", () => {
    watch();
    const trouble = new Error("no such port");
    link.fails(trouble);
    expect(ended).toBe(trouble);
    link = new HandLink();
    ended = "running";
    watch();
    link.isDone();
    expect(ended).toBe("complete");
  });

  it("knows of outages", () => {
    watch();
    link.says({ kind: "link-up", detail: "open" });
    link.reads(5);
    link.says({ kind: "link-down", reason: "unplugged" });
    expect(updates.at(-1)?.gauge.view()).toMatchObject({ stale: true, health: { up: false, outages: 1 } });
  });
});
