import type { BluetoothChildOptions } from "../links/bluetooth/childProcess.ts";
import { type FoundBluetooth, scanBluetooth } from "../links/bluetooth/scanBluetooth.ts";
import type { HeardGauge } from "./gaugesFind.ts";

/** Gauges that save their battery advertise about once a second; some of their calls are missed. */
const LISTEN_S = 6;
const ENVIRONMENTAL_SENSING = "181a";

/** The address to write down. A gauge without environmental sensing may print text: which characteristics it does that by is in its manual. */
const urlOf = ({ address, services }: FoundBluetooth): string =>
  services.includes(ENVIRONMENTAL_SENSING) ? `ble://${address}?profile=ess` : `ble://${address}?profile=uart&service=UUID&notify=UUID`;

/** What is heard over the air, gauges that say what they are first, then by strength. StaunchErrors (69) as of `scanBluetooth`. */
export async function hearGauges(options: BluetoothChildOptions): Promise<HeardGauge[]> {
  const found = await scanBluetooth({ ...options, seconds: LISTEN_S });
  const isSensor = ({ services }: FoundBluetooth): number => (services.includes(ENVIRONMENTAL_SENSING) ? 0 : 1);
  return found
    .sort((one, other) => isSensor(one) - isSensor(other))
    .map((one) => ({ url: urlOf(one), name: one.name, signal_dBm: one.rssi_dBm }));
}
