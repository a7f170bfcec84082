import { Subject } from "rxjs";
import { describe, expect, it } from "vitest";
import { EXIT, isStaunchError, StaunchError } from "../../src/core/errors.ts";
import type { JournalEvent } from "../../src/core/journal.ts";
import { runSession, type SessionParts, type Update } from "../../src/session/session.ts";
import { startWith } from "../support/fedJudge.ts";
import { HandLink, handDriver } from "../support/handLink.ts";

/** A session with everything it did written down in order. */
function ran(wishes: Partial<SessionParts> = {}) {
  const link = new HandLink();
  const log: string[] = [];
  const journal: JournalEvent[] = [];
  const updates: Update[] = [];
  const failures: unknown[] = [];
  const keys = new Subject<string>();
  const session = runSession({
    link,
    driver: handDriver(),
    start: startWith(),
    keys,
    journal: (event) => {
      log.push(`journal ${event.seq} ${event.kind}`);
      journal.push(event);
    },
    ...wishes,
  });
  const subscription = session.subscribe({
    next: (update) => {
      log.push(`judged ${update.event.seq} ${update.event.kind}`);
      updates.push(update);
    },
    error: (error) => {
      log.push("error");
      failures.push(error);
    },
    complete: () => void log.push("complete"),
  });
  return { link, log, journal, updates, failures, keys, subscription };
}

const kinds = (journal: readonly JournalEvent[]): string[] => journal.map(({ kind }) => kind);

describe("the order of things", () => {
  it("is journal first, then the judge, one event after the other", () => {
    const { link, log } = ran();
    link.says({ kind: "link-up", detail: "" });
    link.reads(5);
    expect(log).toEqual(["journal 0 link-up", "judged 0 link-up", "journal 1 bytes-in", "judged 1 bytes-in"]);
  });

  it("is kept when the line answers a query while an event is being handled", () => {
    const { link, log } = ran({ driver: handDriver({ asks: true }) });
    link.echo = true;
    link.says({ kind: "link-up", detail: "" });
    link.reads(5);
    expect(log).toEqual([
      "journal 0 link-up",
      "judged 0 link-up",
      "journal 1 bytes-sent",
      "judged 1 bytes-sent",
      "journal 2 bytes-in",
      "judged 2 bytes-in",
      "journal 3 bytes-sent",
      "judged 3 bytes-sent",
    ]);
    expect(link.sent).toEqual(["?0", "?1"]);
  });

  it("is kept for an event raised inside the journal", () => {
    let extra = true;
    const log: string[] = [];
    const { link, updates } = ran({
      journal: (event) => {
        log.push(`in ${event.kind}`);
        if (extra) link.says({ kind: "silence", since_ms: 0 });
        extra = false;
        log.push(`out ${event.kind}`);
      },
    });
    link.reads(5);
    expect(log).toEqual(["in bytes-in", "out bytes-in", "in silence", "out silence"]);
    expect(updates.map(({ event }) => event.seq)).toEqual([0, 1]);
  });

  it("tells the crew what is asked, once for each change", () => {
    const { link } = ran();
    for (let t = 0; t < 12; t++) {
      link.clock.runUntil(1000 * t);
      link.reads(0);
    }
    expect(link.heard).toEqual([{ act: "wait" }, { act: "pump", to_Pa: 1100 }]);
  });
});

describe("timers only append events", () => {
  it("a second of silence is an event, again each second, until a reading comes", () => {
    const { link, journal } = ran();
    link.reads(5);
    link.clock.runUntil(2500);
    link.reads(5);
    link.clock.runUntil(3400);
    expect(journal.map((event) => (event.kind === "silence" ? `since ${event.since_ms} at ${event.at_ms}` : event.kind))).toEqual([
      "bytes-in",
      "since 0 at 1000",
      "since 0 at 2000",
      "bytes-in",
    ]);
  });

  it("a wake comes when the driver wished it; a later wish replaces it", () => {
    const { link, journal, subscription } = ran({ driver: handDriver({ wake_ms: 400 }) });
    link.reads(5);
    link.clock.runUntil(300);
    link.reads(5);
    link.clock.runUntil(650);
    expect(kinds(journal)).toEqual(["bytes-in", "bytes-in"]);
    link.clock.runUntil(700);
    expect(journal.at(-1)).toMatchObject({ kind: "wake", at_ms: 700 });
    subscription.unsubscribe();
    expect(link.clock.nextDue_ms()).toBeNull();
  });
});

describe("how a session ends", () => {
  it("by a key: the end is in the journal, the verdict stands, line and timers are released", () => {
    const { link, journal, updates, keys, log } = ran();
    link.reads(5);
    keys.next("stop");
    expect(kinds(journal)).toEqual(["bytes-in", "key", "end"]);
    expect(journal.at(-1)).toMatchObject({ kind: "end", cause: "user" });
    expect(updates.at(-1)?.judge.verdict?.verdict).toBe("void");
    expect(log.at(-1)).toBe("complete");
    expect(link.closed).toBe(1);
    expect(link.clock.nextDue_ms()).toBeNull();
    expect(keys.observed).toBe(false);
    link.reads(6);
    expect(journal).toHaveLength(3);
  });

  it("stream case 1, nothing arrives: patience runs out with 69 and the gauge's address", () => {
    const { link, failures, journal } = ran({ patience_ms: 8000 });
    link.clock.runUntil(8000);
    const [error] = failures;
    if (!(error instanceof StaunchError)) throw new Error("no error meant for people came");
    expect(error).toMatchObject({ code: "gauge-no-reading", exit: EXIT.gauge });
    expect(error.message).toContain("a gauge worked by hand in 8 s");
    expect(new Set(kinds(journal))).toEqual(new Set(["silence"]));
    expect(link.closed).toBe(1);
    expect(link.clock.nextDue_ms()).toBeNull();
  });

  it("has all patience once a reading came, and none with bytes that are no reading", () => {
    const spoke = ran({ patience_ms: 8000 });
    spoke.link.reads(1);
    spoke.link.clock.runUntil(60_000);
    expect(spoke.failures).toEqual([]);
    const babble = ran({ patience_ms: 8000 });
    babble.link.says({ kind: "bytes-in", bytes: Buffer.from("hello") });
    babble.link.clock.runUntil(8000);
    expect(isStaunchError(babble.failures[0], "gauge-no-reading")).toBe(true);
  });

  it("stream case 2, an error arrives: it is handed on as it is, and line and timers are released", () => {
    const { link, failures, log } = ran();
    link.reads(1);
    const trouble = new StaunchError({ code: "port-gone", message: "Gone.", hint: "Plug it in.", exit: EXIT.gauge });
    link.fails(trouble);
    expect(failures).toEqual([trouble]);
    expect(log.at(-1)).toBe("error");
    expect(link.closed).toBe(1);
    expect(link.clock.nextDue_ms()).toBeNull();
  });

  it("stream case 3, it never ends: an open gauge is given up after an hour, the vent seen out, the record closed", () => {
    const { link, journal, updates } = ran();
    for (let t = 0; t < 5000 && link.closed === 0; t++) {
      link.clock.runUntil(1000 * t);
      link.reads(0);
    }
    expect(journal.at(-1)).toMatchObject({ kind: "end", cause: "finished" });
    expect(updates.at(-1)?.judge.verdict?.verdict).toBe("void");
    expect(link.closed).toBe(1);
  });

  it("stream case 4, we stop early: nothing more is judged, line and timers are released", () => {
    const { link, journal, subscription, keys } = ran({ patience_ms: 8000 });
    link.reads(1);
    subscription.unsubscribe();
    link.reads(2);
    keys.next("stop");
    expect(journal).toHaveLength(1);
    expect(link.closed).toBe(1);
    expect(link.clock.nextDue_ms()).toBeNull();
  });

  it("a journal that cannot be written ends it with that error", () => {
    const full = new Error("disk full");
    const { link, failures } = ran({
      journal: () => {
        throw full;
      },
    });
    link.reads(1);
    expect(failures).toEqual([full]);
    expect(link.closed).toBe(1);
  });

  it("opens its line once for many listeners", () => {
    const link = new HandLink();
    const session = runSession({ link, driver: handDriver(), start: startWith(), journal: () => undefined });
    const subscriptions = [session.subscribe(), session.subscribe()];
    expect(link.opened).toBe(1);
    for (const one of subscriptions) one.unsubscribe();
    expect(link.closed).toBe(1);
  });
});

describe("a recording", () => {
  it("has its own timers and queries: none are added", () => {
    const { link, journal } = ran({ recorded: true, driver: handDriver({ asks: true, wake_ms: 100 }), patience_ms: 5 });
    link.reads(1);
    link.clock.runUntil(60_000);
    expect(kinds(journal)).toEqual(["bytes-in"]);
    expect(link.sent).toEqual([]);
    expect(link.heard).toEqual([]);
  });

  it("with its end completes with its verdict", () => {
    const { link, journal, log } = ran({ recorded: true });
    link.reads(1);
    link.says({ kind: "end", cause: "user", detail: "stopped" });
    link.isDone();
    expect(kinds(journal)).toEqual(["bytes-in", "end"]);
    expect(log.at(-1)).toBe("complete");
  });

  it("without an end is closed as a lost line", () => {
    const { link, journal, updates, log } = ran({ recorded: true });
    link.reads(1);
    link.isDone();
    expect(journal.at(-1)).toMatchObject({ kind: "end", cause: "link-lost" });
    expect(updates.at(-1)?.judge.verdict?.verdict).toBe("void");
    expect(log.at(-1)).toBe("complete");
  });
});
