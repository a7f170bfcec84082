import { describe, expect, it } from "vitest";
import { findDriver } from "../../drivers/index.ts";
import { simulatedSettings } from "../../drivers/simulated/settings.ts";
import { speakerFor } from "../../drivers/simulated/speaker.ts";
import type { PipeState } from "../../drivers/simulated/state.ts";
import type { CrewAct, Reading } from "../../src/core/driver.ts";
import { isStaunchError } from "../../src/core/errors.ts";
import type { StampedEvent } from "../../src/core/journal.ts";
import type { Link, OpenLink } from "../../src/core/link.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { type SimulatedLinkOptions, simulatedLink } from "../../src/links/simulated.ts";

const ABOUT = { test_Pa: 1000, charge_Pa: 1100, permittedDrop_Pa: 250, hold_s: 300, dn_mm: 150, length_m: 50 };
const WALL_ms = 1_767_225_600_000;

interface Run {
  link: Link;
  open: OpenLink;
  real: QueueClock;
  events: StampedEvent[];
  states: PipeState[];
  ended: unknown[];
}

/** Opens a link on a real clock that is a test's own; `each` sees every event as a session would. */
function start(
  options: Record<string, string>,
  pace: SimulatedLinkOptions["pace"] = "as-fast-as-possible",
  each: (event: StampedEvent, run: Run) => void = () => {},
): Run {
  const real = new QueueClock(0);
  const events: StampedEvent[] = [];
  const states: PipeState[] = [];
  const ended: unknown[] = [];
  const watch = (state: PipeState) => void states.push(state);
  const link = simulatedLink(simulatedSettings(options, ABOUT), { pace, real, wallStart_ms: WALL_ms, watch });
  const run: Run = { link, real, events, states, ended, open: { send: () => {}, close: () => Promise.resolve() } };
  run.open = link.open({
    event: (event) => {
      events.push(event);
      each(event, run);
    },
    fail: (error) => void ended.push(error),
    done: () => void ended.push("done"),
  });
  return run;
}

/** Runs the real clock until the pipe has reached a time. */
function until(run: Run, pipe_s: number): Run {
  while (run.link.clock.now_ms() < pipe_s * 1000 && run.real.runNext());
  return run;
}

const upTo = (run: Run, pipe_s: number): StampedEvent[] => run.events.filter((event) => event.at_ms <= pipe_s * 1000);
const textOf = (event: StampedEvent): string => ("bytes" in event ? new TextDecoder().decode(event.bytes) : event.kind);

/** What a live judge asks, by the reading alone. */
function ask(event: StampedEvent, run: Run): void {
  if (event.kind !== "bytes-in") return;
  const acts: [number, CrewAct][] = [
    [2000, { act: "pump", to_Pa: 1100 }],
    [150_000, { act: "wait" }],
    [250_000, { act: "bleed", to_Pa: 1000 }],
  ];
  for (const [at_ms, act] of acts) if (event.at_ms === at_ms) run.link.hear?.(act);
}

describe("simulatedLink", () => {
  it("opens with link-up and a sample at each period of pipe time, stamped by its own clocks", () => {
    const run = until(start({ rate: "5" }), 10);
    expect(run.link.source).toBe("simulated");
    expect(upTo(run, 1).map(({ kind, at_ms, wall_ms }) => [kind, at_ms, wall_ms - WALL_ms])).toEqual([
      ["link-up", 0, 0],
      ["bytes-in", 200, 200],
      ["bytes-in", 400, 400],
      ["bytes-in", 600, 600],
      ["bytes-in", 800, 800],
      ["bytes-in", 1000, 1000],
    ]);
  });

  it("stamps whole milliseconds when the period is none", () => {
    expect(
      upTo(until(start({ rate: "3" }), 2), 1)
        .slice(1)
        .map((event) => event.at_ms),
    ).toEqual([333, 667, 1000]);
  });

  it("gives the same journal for the same seed at any pace, and another for another seed", () => {
    const options = { leak: "0.8", wind: "3", seed: "11", spikes: "100:3", topup: "200:20", sensors: "air,ambient" };
    const journal = (seed: string, pace: SimulatedLinkOptions["pace"]) => upTo(until(start({ ...options, seed }, pace, ask), 400), 400);
    const fast = journal("11", "as-fast-as-possible");
    expect(fast.length).toBe(2001);
    for (const pace of [1, 7.3, 60, 1000]) expect(journal("11", pace)).toEqual(fast);
    expect(journal("12", "as-fast-as-possible").map(textOf)).not.toEqual(fast.map(textOf));
  });

  it("gives the same journal when the real clock stutters", () => {
    const smooth = upTo(until(start({ leak: "1" }, 10, ask), 300), 300);
    const run = start({ leak: "1" }, 10, ask);
    // The machine was asleep for twenty seconds, then ran late by odd amounts.
    for (let now_ms = 20_000; run.link.clock.now_ms() < 300_000; now_ms += 37 + (now_ms % 911)) run.real.runUntil(now_ms);
    expect(upTo(run, 300)).toEqual(smooth);
  });

  it("runs pipe time at the pace asked for", () => {
    const run = start({}, 60);
    run.real.runUntil(1000);
    expect(run.link.clock.now_ms()).toBe(60_000);
    run.real.runUntil(10_000);
    expect(run.link.clock.now_ms()).toBe(600_000);
  });

  it("brings an act raised while sample k is handled to the crew at sample k+1", () => {
    const run = until(
      start({}, "as-fast-as-possible", (event, { link }) => {
        if (event.kind === "bytes-in" && event.at_ms === 2000) link.hear?.({ act: "pump", to_Pa: 1100 });
      }),
      10,
    );
    const heard = run.states.filter((state) => state.heard !== null);
    expect(heard[0]?.time_s).toBeCloseTo(2.2, 9);
  });

  it("runs timers of the session on pipe time", () => {
    const seen: number[] = [];
    const run = start({}, 60);
    run.link.clock.at(7123, () => seen.push(run.link.clock.now_ms()));
    until(run, 10);
    expect(seen).toEqual([7123]);
  });

  it("wallclock: the wall steps and the monotonic clock does not", () => {
    const run = until(start({ wallclock: "5:3600" }), 10);
    const offsets = run.events.map((event) => event.wall_ms - WALL_ms - event.at_ms);
    expect(new Set(offsets)).toEqual(new Set([0, 3_600_000]));
    expect(run.events.find((event) => event.wall_ms - WALL_ms > 100_000)?.at_ms).toBe(5000);
  });

  it("silence: no bytes for that long, then as before", () => {
    const stamps = until(start({ silence: "20:15" }), 60)
      .events.filter((event) => event.kind === "bytes-in")
      .map((event) => event.at_ms);
    const gaps = stamps.slice(1).map((at_ms, i) => at_ms - (stamps[i] ?? 0));
    expect(gaps.filter((gap_ms) => gap_ms !== 200)).toEqual([15_200]);
    expect(stamps).toContain(35_000);
  });

  it("scpi: the driver asks and is answered at each sample", () => {
    const { protocol, driverOptions } = speakerFor(simulatedSettings({ protocol: "scpi" }, ABOUT));
    const driver = findDriver(protocol).create(driverOptions);
    let state = driver.start();
    let identity = "";
    let cancel = () => {};
    const readings: Reading[] = [];
    const feed = (event: Parameters<typeof driver.next>[1], run: Run): void => {
      const turn = driver.next(state, event);
      state = turn.state;
      readings.push(...turn.readings);
      identity = turn.identity ?? identity;
      for (const bytes of turn.send) run.open.send(bytes);
      cancel();
      if (turn.wakeAt_ms !== undefined)
        cancel = run.link.clock.at(turn.wakeAt_ms, () => feed({ kind: "wake", at_ms: run.link.clock.now_ms() }, run));
    };
    const run = start({ protocol: "scpi" }, "as-fast-as-possible", (event, self) => {
      if (event.kind === "link-up") feed({ kind: "opened", at_ms: event.at_ms }, self);
      if (event.kind === "bytes-in") feed({ kind: "bytes", at_ms: event.at_ms, bytes: event.bytes }, self);
    });
    until(run, 60);
    expect(identity).toBe("STAUNCH,SIMULATED PIPE,1,1");
    expect(upTo(run, 0.3).map(textOf)).toEqual([
      "link-up",
      "*IDN?\n",
      "STAUNCH,SIMULATED PIPE,1,1\n",
      "READ?\n",
      expect.stringMatching(/^[+-]\d\.\d{8}E[+-]\d\d\n$/),
      "READ?\n",
    ]);
    expect(readings.filter((reading) => reading.at_ms <= 60_000).length).toBe(300);
  });

  it("is silent once closed, and can be closed twice", async () => {
    const run = until(start({}), 5);
    const events = run.events.length;
    await run.open.close();
    await run.open.close();
    run.open.send(new Uint8Array([1]));
    while (run.real.runNext());
    expect(run.events.length).toBe(events);
    expect(run.ended).toEqual([]);
  });

  it("stops at once when closed while a sample is handled", () => {
    const run = start({}, "as-fast-as-possible", (event, self) => {
      if (event.at_ms === 1000) void self.open.close();
    });
    while (run.real.runNext());
    expect(run.events.at(-1)?.at_ms).toBe(1000);
  });

  it("ends by itself after half a day of pipe time", () => {
    const run = start({ rate: "0.1" });
    while (run.real.runNext());
    expect(run.ended).toEqual(["done"]);
    expect(run.events.at(-1)?.at_ms).toBe(12 * 3_600_000);
  });

  it("hands a failure of its listener on and stops", () => {
    const trouble = new Error("listener broke");
    const run = start({}, "as-fast-as-possible", (event) => {
      if (event.at_ms === 1000) throw trouble;
    });
    while (run.real.runNext());
    expect(run.ended).toEqual([trouble]);
    expect(run.events.at(-1)?.at_ms).toBe(1000);
  });

  it.each([0, -1, Number.NaN, 1e9])("refuses pace %d", (pace) => {
    let caught: unknown;
    try {
      start({}, pace);
    } catch (error) {
      caught = error;
    }
    expect(isStaunchError(caught, "simulated-pace")).toBe(true);
  });
});
