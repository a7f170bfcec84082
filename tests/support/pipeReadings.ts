import { findDriver } from "../../drivers/index.ts";
import { simulatedSettings } from "../../drivers/simulated/settings.ts";
import { speakerFor } from "../../drivers/simulated/speaker.ts";
import type { Driver, DriverEvent, Reading } from "../../src/core/driver.ts";
import type { StampedEvent } from "../../src/core/journal.ts";
import type { OpenLink } from "../../src/core/link.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { simulatedLink } from "../../src/links/simulated.ts";

const ABOUT = { test_Pa: 1000, charge_Pa: 1100, permittedDrop_Pa: 250, hold_s: 300, dn_mm: 150, length_m: 50 };

/** A simulated pipe being pumped up, on a clock that goes on only when told to. */
export interface PumpedPipe {
  driver: Driver;
  open: OpenLink;
  /** Lets the pipe do the next thing it has to do. */
  goOn(): void;
  /** Pipe time. */
  at(due_ms: number, action: () => void): () => void;
}

export function pumpedPipe(options: Record<string, string>, hear: (event: StampedEvent) => void): PumpedPipe {
  const settings = simulatedSettings({ resolution: "0.1", seed: "5", ...options }, ABOUT);
  const { protocol, driverOptions } = speakerFor(settings);
  const real = new QueueClock(0);
  // So slow that each thing the pipe does is a turn of its own of the real clock.
  const link = simulatedLink(settings, { pace: 0.001, real, wallStart_ms: 0 });
  const fail = (error: unknown): void => {
    throw error;
  };
  const open = link.open({ event: hear, fail, done: () => fail(new Error("the pipe ended by itself")) });
  link.hear?.({ act: "pump", to_Pa: 1100 });
  return {
    driver: findDriver(protocol).create(driverOptions),
    open,
    goOn: () => void real.runNext(),
    at: (due_ms, action) => link.clock.at(due_ms, action),
  };
}

/** What the pipe's own driver reads with no line between them. */
export function readInProcess(options: Record<string, string>, wanted: number): Reading[] {
  const readings: Reading[] = [];
  const pipe = pumpedPipe(options, (event) => {
    if (event.kind === "link-up") feed({ kind: "opened", at_ms: event.at_ms });
    if (event.kind === "bytes-in") feed({ kind: "bytes", at_ms: event.at_ms, bytes: event.bytes });
  });
  let state = pipe.driver.start();
  let cancel = (): void => {};
  function feed(event: DriverEvent): void {
    const step = pipe.driver.next(state, event);
    state = step.state;
    readings.push(...step.readings);
    for (const bytes of step.send) pipe.open.send(bytes);
    cancel();
    const { wakeAt_ms } = step;
    cancel = wakeAt_ms === undefined ? () => {} : pipe.at(wakeAt_ms, () => feed({ kind: "wake", at_ms: wakeAt_ms }));
  }
  while (readings.length < wanted) pipe.goOn();
  return readings.slice(0, wanted);
}

/** A reading without its stamp: a line takes its own time. */
export const told = ({ at_ms: _, ...rest }: Reading): Omit<Reading, "at_ms"> => rest;
