import type { Driver, DriverEvent, Reading } from "../../src/core/driver.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { serialLink } from "../../src/links/serial.ts";
import { KeptSink } from "./sink.ts";

/** Reads a gauge on a real port until it has answered `wanted` times; virtual time jumps to the next question at each answer. `whenUp` is called when the port is open. */
export async function readGauge(
  path: string,
  driver: Driver,
  wanted: number,
  whenUp: () => void = () => {},
): Promise<{ readings: Reading[]; unused: number }> {
  const clock = new QueueClock();
  const sink = new KeptSink();
  const readings: Reading[] = [];
  let unused = 0;
  let state = driver.start();
  const line = serialLink({ path, clock, ...driver.link }).open(sink);
  const feed = (event: DriverEvent): void => {
    const step = driver.next(state, event);
    state = step.state;
    readings.push(...step.readings);
    unused += step.unused;
    for (const bytes of step.send) line.send(bytes);
    if (step.readings.length > 0 && step.wakeAt_ms !== undefined && readings.length < wanted) {
      clock.runUntil(step.wakeAt_ms);
      feed({ kind: "wake", at_ms: step.wakeAt_ms });
    }
  };
  sink.reply = (event) => {
    if (event.kind === "link-up") {
      feed({ kind: "opened", at_ms: event.at_ms });
      whenUp();
    }
    if (event.kind === "bytes-in") feed({ kind: "bytes", at_ms: event.at_ms, bytes: event.bytes });
  };
  await sink.until(`${wanted} answers`, () => readings.length >= wanted || sink.failures.length > 0);
  await line.close();
  if (sink.failures.length > 0) throw sink.failures[0];
  return { readings, unused };
}
