/** The simulated pipe speaks through an independent peripheral stack: link and driver must read what they read with no air between. */
import { expect, it } from "vitest";
import { cutRecords } from "../../drivers/framing/records.ts";
import { uart } from "../../drivers/uart.ts";
import type { Driver, Reading } from "../../src/core/driver.ts";
import { pumpedPipe, readInProcess, told } from "../support/pipeReadings.ts";
import type { KeptSink } from "../support/sink.ts";
import type { VirtualGauge } from "../support/virtualBluetooth/gauge.ts";
import { linked } from "../support/virtualBluetooth/linked.ts";

const WANTED = 60;
const SPEED = 20;
const SIG_TAIL = "-0000-1000-8000-00805f9b34fb";
const SERVICE = "6e400001-b5a3-f393-e0a9-e50e24dcca9e";
const NOTIFY = SERVICE.replace("0001", "0003");

/** One thing after the other: the pipe goes on when what it said has arrived. */
async function spoken(options: Record<string, string>, sink: KeptSink, say: (bytes: Uint8Array) => number): Promise<void> {
  const waiting: Uint8Array[] = [];
  const pipe = pumpedPipe(options, (event) => {
    if (event.kind === "bytes-in") waiting.push(event.bytes);
  });
  let owed = sink.count("bytes-in");
  for (let i = 0; i < WANTED; i++) {
    while (waiting.length === 0) pipe.goOn();
    for (const bytes of waiting.splice(0)) owed += say(bytes);
    const due = owed;
    await sink.until(`value ${i}`, (seen) => seen.count("bytes-in") >= due);
  }
  await pipe.open.close();
}

/** What a driver reads from what the link handed on. */
function readFrom(sink: KeptSink, driver: Driver): { readings: Reading[]; unused: number; identity: string | undefined } {
  const readings: Reading[] = [];
  let state = driver.start();
  let unused = 0;
  let identity: string | undefined;
  for (const { kind, at_ms, ...event } of sink.events) {
    if (kind !== "link-up" && !("bytes" in event)) continue;
    const step = driver.next(state, "bytes" in event ? { kind: "bytes", at_ms, bytes: event.bytes } : { kind: "opened", at_ms });
    state = step.state;
    readings.push(...step.readings);
    unused += step.unused;
    identity = step.identity ?? identity;
  }
  return { readings, unused, identity };
}

function checkSame(sink: KeptSink, driver: Driver, expected: readonly Reading[]): void {
  const { readings, unused, identity } = readFrom(sink, driver);
  expect(readings.map(told)).toEqual(expected.map(told));
  expect(unused).toBe(0);
  expect(identity?.toLowerCase()).toBe("c0:00:00:00:00:02");
  expect(new Set(readings.map((one) => one.pressure_Pa)).size).toBeGreaterThan(WANTED / 2);
}

it("ess: pressures, temperatures and battery arrive as they were spoken, in order", async () => {
  const options = { protocol: "ess" };
  const { driver } = pumpedPipe(options, () => undefined);
  const { gauge, sink } = await linked({ speed: SPEED, channels: driver.bluetooth });
  await spoken(options, sink, (bytes) => {
    const { records } = cutRecords(new Uint8Array(0), bytes, () => true);
    for (const { label, value } of records) {
      const uuid = `0000${label.toString(16).padStart(4, "0")}${SIG_TAIL}`;
      expect(gauge.notify(uuid, Buffer.from(value))).toBe(true);
    }
    return records.length;
  });
  checkSame(sink, driver, readInProcess(options, WANTED));
});

/** In pieces of the smallest packet, as these gauges send their lines: 20 bytes, ATT_MTU 23 less 3 (Bluetooth Core, Vol 3, Part F, 3.4.7.1). */
function pieces(gauge: VirtualGauge, bytes: Uint8Array): number {
  let count = 0;
  for (let from = 0; from < bytes.length; from += 20, count++)
    expect(gauge.notify(NOTIFY, Buffer.from(bytes.subarray(from, from + 20)))).toBe(true);
  return count;
}

it("uart: lines of text in pieces arrive as they were spoken, in order", async () => {
  const options = { protocol: "line", sensors: "air,ambient" };
  const layout = { separator: "semicolon", airField: "2", ambientField: "3", ambientUnit: "Pa" };
  const driver = uart.create({ service: SERVICE, notify: NOTIFY, ...layout });
  const services = [{ uuid: SERVICE, characteristics: [{ uuid: NOTIFY, properties: ["notify"] }] }];
  const { gauge, sink } = await linked({ speed: SPEED, services, channels: driver.bluetooth });
  await spoken(options, sink, (bytes) => pieces(gauge, bytes));
  checkSame(sink, driver, readInProcess(options, WANTED));
});
