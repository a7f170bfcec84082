import { afterEach, describe, expect, it } from "vitest";
import { ess } from "../../drivers/ess.ts";
import { cutRecords } from "../../drivers/framing/records.ts";
import { uart } from "../../drivers/uart.ts";
import type { BluetoothChannels } from "../../src/core/driver.ts";
import type { OpenLink } from "../../src/core/link.ts";
import { bleLink, valueRecords } from "../../src/links/ble.ts";
import type { BluetoothTarget } from "../../src/links/bluetooth/messages.ts";
import { KeptSink } from "../support/sink.ts";
import { ESS, VirtualGauge } from "../support/virtualBluetooth/gauge.ts";
import { CHILD_PATH, Room } from "../support/virtualBluetooth/room.ts";

const ADDRESS = "c0:00:00:00:00:02";
const NO_CHANNELS: BluetoothChannels = { services: [], notify: [] };
const ENDS: (() => Promise<void>)[] = [];

afterEach(async () => {
  for (const end of ENDS.splice(0).reverse()) await end();
});

interface Wishes {
  speed?: number;
  target?: BluetoothTarget;
  services?: ConstructorParameters<typeof VirtualGauge>[1]["services"];
  channels?: BluetoothChannels | undefined;
}

/** A room with one gauge in it and a link to it that is up. */
async function linked({
  speed = 1,
  target = { by: "address", text: ADDRESS },
  services = ESS,
  channels = ess.create({}).bluetooth,
}: Wishes) {
  const room = new Room(speed);
  ENDS.push(() => room.close());
  const gauge = new VirtualGauge(room.air, { address: ADDRESS, name: "Gauge 7", services });
  const sink = new KeptSink();
  const options = { target, describe: "a virtual gauge", channels: channels ?? NO_CHANNELS };
  const open: OpenLink = bleLink({ ...options, clock: room.clock, childPath: CHILD_PATH, execArgv: room.execArgv() }).open(sink);
  ENDS.push(() => open.close());
  await sink.until("the link is up", (seen) => seen.count("link-up") > 0 || seen.failures.length > 0);
  expect(sink.failures).toEqual([]);
  return { room, gauge, sink, open };
}

/** Pressures that reached the link, in tenths of a pascal. */
function arrived(sink: KeptSink): number[] {
  const bytes = sink.events.flatMap((event) => (event.kind === "bytes-in" ? [...event.bytes] : []));
  const { records, unused } = cutRecords(new Uint8Array(0), Uint8Array.from(bytes), () => true);
  expect(unused).toBe(0);
  return records.flatMap(({ label, value }) => (label === 0x2a6d ? [Buffer.from(value).readUInt32LE()] : []));
}

/** Notifies `count` pressures, `rate_Hz` a virtual second, while somebody listens; resolves after the last. */
function pressures({ air }: Room, gauge: VirtualGauge, from: number, count: number, rate_Hz = 10): Promise<void> {
  const begun_ms = air.now_ms();
  return new Promise((resolve) => {
    const next = (i: number): void => {
      if (i === count) return resolve();
      gauge.pressure(from + i);
      air.after(begun_ms + ((i + 1) * 1000) / rate_Hz - air.now_ms(), () => next(i + 1));
    };
    next(0);
  });
}

describe("a Bluetooth gauge", () => {
  it("is found by address, tells who it is, and leaves politely", async () => {
    const { room, gauge, sink, open } = await linked({});
    expect(sink.last("link-up")?.detail).toBe(
      'Bluetooth gauge "Gauge 7" at C0:00:00:00:00:02, MTU 256, more than one 2A6E: the last is read',
    );
    expect(sink.last("bytes-in")?.bytes).toEqual(valueRecords(0, Buffer.from("C0:00:00:00:00:02")));
    // Interval and supervision time-out as asked for: 30 ms, 4 s.
    expect([...room.air.links].map(({ parameters }) => parameters)).toEqual([{ interval: 24, latency: 0, timeout: 400 }]);
    await open.close();
    await gauge.watched.until("the gauge is free again", () => !gauge.isSubscribed);
    expect(room.air.violations).toEqual([]);
    expect([...(room.adapter?.unknown ?? []), ...gauge.controller.unknown]).toEqual([]);
  });

  it("loses nothing of 60 s at 10 readings a second, and keeps their order", async () => {
    const { room, gauge, sink } = await linked({ speed: 10, target: { by: "name", text: "Gauge 7" } });
    await pressures(room, gauge, 1_013_250, 600);
    await sink.until("all have come", () => arrived(sink).length >= 600);
    expect(arrived(sink)).toEqual(Array.from({ length: 600 }, (_, i) => 1_013_250 + i));
    expect(gauge.handedOver.length).toBe(600);
    expect(sink.count("link-down")).toBe(0);
    const stamps = sink.events.map(({ at_ms }) => at_ms);
    expect(stamps).toEqual([...stamps].sort((a, b) => a - b));
    expect(room.air.violations).toEqual([]);
  });

  it("lives through a fade of 2 s: nothing is lost, and what was held back comes in a burst", async () => {
    const { room, gauge, sink } = await linked({ speed: 4 });
    room.air.after(1000, () => room.air.move(gauge.controller, true));
    room.air.after(3000, () => room.air.move(gauge.controller, false));
    await pressures(room, gauge, 1, 60);
    await sink.until("all have come", () => arrived(sink).length >= 60);
    expect(arrived(sink)).toEqual(Array.from({ length: 60 }, (_, i) => 1 + i));
    expect(sink.count("link-down")).toBe(0);
    const stamps = sink.events.flatMap(({ kind, at_ms }) => (kind === "bytes-in" ? [at_ms] : [])).slice(1);
    const gaps = stamps.slice(1).map((at_ms, i) => at_ms - (stamps[i] ?? 0));
    expect(Math.max(...gaps)).toBeGreaterThan(1800);
    expect(gaps.filter((gap_ms) => gap_ms < 40).length).toBeGreaterThan(12);
  });

  it("is given up after 4 s out of range and back within 2 s of its return, with values of the new connection only", async () => {
    const { room, gauge, sink } = await linked({ speed: 2 });
    gauge.pressure(1);
    const left_ms = room.clock.now_ms();
    room.air.move(gauge.controller, true);
    await sink.until("the link is lost", (seen) => seen.count("link-down") === 1);
    expect(sink.last("link-down")?.reason).toContain("not heard for 4 s");
    expect((sink.last("link-down")?.at_ms ?? 0) - left_ms).toBeGreaterThan(3900);
    await new Promise<void>((resolve) => room.air.after(1500, resolve));
    const back_ms = room.clock.now_ms();
    room.air.move(gauge.controller, false);
    await sink.until("the link is up again", (seen) => seen.count("link-up") === 2);
    expect((sink.last("link-up")?.at_ms ?? Number.POSITIVE_INFINITY) - back_ms).toBeLessThan(2000);
    await pressures(room, gauge, 100, 10);
    await sink.until("its values come", () => arrived(sink).length >= 10);
    expect(arrived(sink).slice(-10)).toEqual(Array.from({ length: 10 }, (_, i) => 100 + i));
  });

  it("comes back by itself when the adapter was off", async () => {
    const { room, gauge, sink } = await linked({ speed: 4 });
    room.power(false);
    await sink.until("the link is lost", (seen) => seen.count("link-down") === 1);
    expect(sink.last("link-down")?.reason).toBe("The Bluetooth link was lost: the adapter is off.");
    room.power(true);
    await sink.until("the link is up again", (seen) => seen.count("link-up") === 2);
    await pressures(room, gauge, 7, 3);
    await sink.until("values come", () => arrived(sink).length >= 3);
    expect(sink.failures).toEqual([]);
  });
});

describe("a Bluetooth gauge that is asked", () => {
  const SERVICE = "6e400001-b5a3-f393-e0a9-e50e24dcca9e";
  const NOTIFY = SERVICE.replace("0001", "0003");
  const WRITE = SERVICE.replace("0001", "0002");

  it("is written to in pieces that fit, and answers", async () => {
    const driver = uart.create({ service: SERVICE, notify: NOTIFY, write: WRITE, query: "MEASURE:PRESSURE? SLOWLY", unit: "Pa" });
    const characteristics = [
      { uuid: WRITE, properties: ["write"] },
      { uuid: NOTIFY, properties: ["notify"] },
    ];
    const { gauge, sink, open } = await linked({ services: [{ uuid: SERVICE, characteristics }], channels: driver.bluetooth });
    const [question] = driver.next(driver.start(), { kind: "opened", at_ms: 0 }).send;
    open.send(question ?? new Uint8Array(0));
    await sink.until("it is told as sent", (seen) => seen.count("bytes-sent") === 1);
    expect(gauge.written).toEqual(["MEASURE:PRESSURE? SL", "OWLY\r\n"]);
    gauge.notify(NOTIFY, Buffer.from("1013.2\r\n"));
    await sink.until("the answer", (seen) => seen.count("bytes-in") === 2);
    const answer = sink.last("bytes-in")?.bytes ?? new Uint8Array(0);
    const { readings } = driver.next(driver.start(), { kind: "bytes", at_ms: 9, bytes: answer });
    expect(readings).toMatchObject([{ pressure_Pa: 1013.2 }]);
  });
});

describe("a value as records", () => {
  it("is cut where its length does not fit into a byte", () => {
    const long = Uint8Array.from({ length: 300 }, (_, i) => i & 0xff);
    const { records } = cutRecords(new Uint8Array(0), valueRecords(3, long), (label) => label === 3);
    expect(records.map(({ value }) => value.length)).toEqual([255, 45]);
    expect(Uint8Array.from(records.flatMap(({ value }) => [...value]))).toEqual(long);
  });
});
