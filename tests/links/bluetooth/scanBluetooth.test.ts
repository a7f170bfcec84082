import { afterEach, describe, expect, it } from "vitest";
import { scanBluetooth } from "../../../src/links/bluetooth/scanBluetooth.ts";
import { ESS, VirtualGauge } from "../../support/virtualBluetooth/gauge.ts";
import { CHILD_PATH, Room } from "../../support/virtualBluetooth/room.ts";

const rooms: Room[] = [];
afterEach(async () => {
  for (const room of rooms.splice(0)) await room.close();
});

function room(): Room {
  const made = new Room(4);
  rooms.push(made);
  return made;
}

const scan = (place: Room, seconds = 6) =>
  scanBluetooth({ childPath: CHILD_PATH, clock: place.clock, execArgv: place.execArgv(), seconds });

describe("what is heard nearby", () => {
  it("is listed with strength and services, the strongest first, its names made fit to be shown", async () => {
    const place = room();
    const near = new VirtualGauge(place.air, { address: "c0:00:00:00:00:03", name: "A \u001b[31mred\u0007\u202egauge", services: ESS });
    near.controller.rssi_dBm = -48;
    const far = new VirtualGauge(place.air, { address: "c0:00:00:00:00:02", name: "Gauge 7", services: ESS });
    far.controller.rssi_dBm = -91;
    const nameless = new VirtualGauge(place.air, { address: "c0:00:00:00:00:04", name: "\u200b\u001b]0;owned\u0007", services: ESS });
    nameless.controller.rssi_dBm = -70;
    expect(await scan(place)).toEqual([
      { address: "C0:00:00:00:00:03", name: "A redgauge", rssi_dBm: -48, services: ["181a", "180f"] },
      { address: "C0:00:00:00:00:04", name: null, rssi_dBm: -70, services: ["181a", "180f"] },
      { address: "C0:00:00:00:00:02", name: "Gauge 7", rssi_dBm: -91, services: ["181a", "180f"] },
    ]);
    expect(place.air.violations).toEqual([]);
  });

  it("is nothing where there is nothing, and a gauge out of range", async () => {
    const place = room();
    const gauge = new VirtualGauge(place.air, { address: "c0:00:00:00:00:02", name: "Gauge 7", services: ESS });
    place.air.move(gauge.controller, true);
    expect(await scan(place, 3)).toEqual([]);
  });
});
