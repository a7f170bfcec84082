import { copyFileSync, cpSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { afterEach, describe, expect, it } from "vitest";
import { ess } from "../../../drivers/ess.ts";
import type { StaunchError } from "../../../src/core/errors.ts";
import { bleLink } from "../../../src/links/ble.ts";
import { scanBluetooth } from "../../../src/links/bluetooth/scanBluetooth.ts";
import { bluetoothTrouble } from "../../../src/links/bluetooth/trouble.ts";
import { rejectionOf } from "../../support/errors.ts";
import { ESS, VirtualGauge } from "../../support/virtualBluetooth/gauge.ts";
import { CHILD_PATH, Room } from "../../support/virtualBluetooth/room.ts";

const rooms: Room[] = [];
afterEach(async () => {
  for (const room of rooms.splice(0)) await room.close();
});

function room(): Room {
  const made = new Room(8);
  rooms.push(made);
  return made;
}

/** Why a gauge that was to be connected to cannot be. */
async function refused(place: Room, text: string): Promise<StaunchError> {
  const channels = ess.create({}).bluetooth ?? { services: [], notify: [] };
  const options = { channels, describe: "a gauge", clock: place.clock, childPath: CHILD_PATH, execArgv: place.execArgv() };
  const link = bleLink({ ...options, target: { by: "address", text } });
  const failure = new Promise<never>((_, reject) => {
    const open = link.open({ event: () => {}, done: () => {}, fail: (error) => void open.close().then(() => reject(error)) });
  });
  return rejectionOf(failure);
}

const refusedScan = (place: Room, env: Record<string, string>, childPath = CHILD_PATH): Promise<StaunchError> =>
  rejectionOf(scanBluetooth({ childPath, clock: place.clock, execArgv: place.execArgv(env), seconds: 60 }));

describe("what can be in the way of Bluetooth", () => {
  it.each([
    ["EPERM", "bluetooth-not-allowed", "setcap cap_net_raw+eip"],
    ["ENODEV", "bluetooth-no-adapter", "NOBLE_HCI_DEVICE_ID"],
    ["EAFNOSUPPORT", "bluetooth-no-kernel", "serial gauge"],
    ["MODULE", "bluetooth-not-built", "npm rebuild"],
    ["OFF", "bluetooth-off", "rfkill unblock bluetooth"],
  ])("%s is told as %s, with what to do", async (refusal, code, advice) => {
    const error = await refusedScan(room(), { VIRTUAL_HCI_REFUSE: refusal });
    expect(error).toMatchObject({ code, exit: 69 });
    expect(error.hint).toContain(advice);
  });

  it("is an adapter older than Low Energy", async () => {
    const place = room();
    place.version = 5;
    expect((await refusedScan(place, {})).code).toBe("bluetooth-unsupported");
  });

  it("is an adapter that says nothing at all", async () => {
    const place = room();
    place.isMute = true;
    expect((await refusedScan(place, {})).code).toBe("bluetooth-no-adapter");
  });

  it("is a package that was left out", async () => {
    const folder = mkdtempSync(join(tmpdir(), "without-noble-"));
    try {
      writeFileSync(join(folder, "package.json"), '{ "type": "module" }');
      copyFileSync(CHILD_PATH, join(folder, "bluetooth-child.js"));
      cpSync(join(dirname(CHILD_PATH), "parts"), join(folder, "parts"), { recursive: true });
      const error = await refusedScan(room(), {}, join(folder, "bluetooth-child.js"));
      expect(error).toMatchObject({ code: "bluetooth-not-built", exit: 69 });
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it("is a process that falls over at once; its last words are told", async () => {
    const error = await refusedScan(room(), {}, join(tmpdir(), "no-such-bluetooth-child.js"));
    expect(error).toMatchObject({ code: "bluetooth-failed", exit: 69 });
    expect(error.message).toMatch(/its process ended with 1: Error: Cannot find module/);
  });

  it("is a gauge that is not heard, or is another kind of thing", async () => {
    const place = room();
    const [battery] = ESS.slice(1);
    new VirtualGauge(place.air, { address: "c0:00:00:00:00:05", name: "Lamp", services: battery === undefined ? [] : [battery] });
    expect(await refused(place, "c0:00:00:00:00:05")).toMatchObject({ code: "bluetooth-wrong-profile", exit: 69 });
    expect(await refused(place, "c0:00:00:00:00:06")).toMatchObject({ code: "bluetooth-not-found", exit: 69 });
  });
});

describe("words of a system nobody foresaw", () => {
  it("are shown without what they could do to a terminal", () => {
    expect(bluetoothTrouble("bluetooth-failed", "\u001b[2Jodd").message).toBe("Bluetooth failed (odd).");
  });
});
