import { describe, expect, it } from "vitest";
import { cutRecords } from "../../drivers/framing/records.ts";
import { valueRecords } from "../../src/links/ble.ts";
import type { KeptSink } from "../support/sink.ts";
import { linked, pressures } from "../support/virtualBluetooth/linked.ts";

/** Pressures that reached the link, in tenths of a pascal. */
function arrived(sink: KeptSink): number[] {
  const bytes = sink.events.flatMap((event) => (event.kind === "bytes-in" ? [...event.bytes] : []));
  const { records, unused } = cutRecords(new Uint8Array(0), Uint8Array.from(bytes), () => true);
  expect(unused).toBe(0);
  return records.flatMap(({ label, value }) => (label === 0x2a6d ? [Buffer.from(value).readUInt32LE()] : []));
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

  it("is connected at last when it goes away at the moment of connecting: the cancelled attempt is not taken for the next one", async () => {
    const { room, gauge, sink } = await linked({ speed: 8 });
    let attempts = 0;
    room.air.onConnecting = () => {
      attempts++;
      if (attempts > 1) return;
      room.air.move(gauge.controller, true);
      // Longer than a connection is waited for.
      room.air.after(11_000, () => room.air.move(gauge.controller, false));
    };
    room.air.move(gauge.controller, true);
    await sink.until("the link is lost", (seen) => seen.count("link-down") === 1);
    room.air.move(gauge.controller, false);
    await sink.until("the link is up again", (seen) => seen.count("link-up") === 2);
    expect(attempts).toBe(2);
    expect(gauge.connections).toBe(2);
    expect(room.air.links.size).toBe(1);
  });

  it("is connected anew when it keeps the link and says no more", async () => {
    const { room, gauge, sink } = await linked({ speed: 10 });
    await pressures(room, gauge, 1, 5);
    await sink.until("the link is given up", (seen) => seen.count("link-down") === 1);
    expect(sink.last("link-down")?.reason).toMatch(/^Nothing has come from the gauge for 1[5-7]\.\d s\.$/);
    await sink.until("the link is up again", (seen) => seen.count("link-up") === 2);
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
