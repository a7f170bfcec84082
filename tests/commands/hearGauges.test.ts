import { afterEach, expect, it } from "vitest";
import { findGauges, findingLines } from "../../src/commands/gaugesFind.ts";
import { hearGauges } from "../../src/commands/hearGauges.ts";
import { ESS, VirtualGauge } from "../support/virtualBluetooth/gauge.ts";
import { CHILD_PATH, Room } from "../support/virtualBluetooth/room.ts";

const rooms: Room[] = [];
afterEach(async () => {
  for (const room of rooms.splice(0)) await room.close();
});

it("lists what is heard as addresses to write down, sensors of pressure first, names harmless", async () => {
  const room = new Room(6);
  rooms.push(room);
  const lamp = new VirtualGauge(room.air, { address: "c0:00:00:00:00:09", name: "Lamp\u001b[2J", services: ESS.slice(1) });
  lamp.controller.rssi_dBm = -40;
  const gauge = new VirtualGauge(room.air, { address: "c0:00:00:00:00:02", name: "Gauge 7", services: ESS });
  gauge.controller.rssi_dBm = -80;
  const scan = () => hearGauges({ childPath: CHILD_PATH, clock: room.clock, execArgv: room.execArgv() });
  expect(findingLines(await findGauges({ ports: async () => [], scan }))).toEqual([
    "ble://C0:00:00:00:00:02?profile=ess\n    Gauge 7, -80 dBm",
    "ble://C0:00:00:00:00:09?profile=uart&service=UUID&notify=UUID\n    Lamp, -40 dBm",
  ]);
});

it("is a complaint beside the ports where Bluetooth cannot be used", async () => {
  const room = new Room(6);
  rooms.push(room);
  const scan = () => hearGauges({ childPath: CHILD_PATH, clock: room.clock, execArgv: room.execArgv({ VIRTUAL_HCI_REFUSE: "EPERM" }) });
  const { heard, complaint } = await findGauges({ ports: async () => [], scan });
  expect(heard).toEqual([]);
  expect(complaint).toMatchObject({ code: "bluetooth-not-allowed", exit: 69 });
});
