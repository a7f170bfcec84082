import { afterEach, expect } from "vitest";
import { ess } from "../../../drivers/ess.ts";
import type { BluetoothChannels } from "../../../src/core/driver.ts";
import type { OpenLink } from "../../../src/core/link.ts";
import { bleLink } from "../../../src/links/ble.ts";
import type { BluetoothTarget } from "../../../src/links/bluetooth/messages.ts";
import { KeptSink } from "../sink.ts";
import { ESS, VirtualGauge } from "./gauge.ts";
import { CHILD_PATH, Room } from "./room.ts";

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

/** A room with one gauge in it and a link to it that is up; closed after the test. */
export async function linked({
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

/** Notifies `count` pressures, `rate_Hz` a virtual second, while somebody listens; resolves after the last. */
export function pressures({ air }: Room, gauge: VirtualGauge, from: number, count: number, rate_Hz = 10): Promise<void> {
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
