import { BluetoothChild, type BluetoothChildOptions } from "./childProcess.ts";
import { bluetoothTrouble } from "./trouble.ts";

export interface FoundBluetooth {
  /** As it stands in a `ble://` address. */
  address: string;
  /** Fit to be shown; `null`: it gives none. */
  name: string | null;
  /** The strongest heard, dBm; nearer to 0 is nearer. */
  rssi_dBm: number;
  /** Advertised services, 4 or 32 lower case hexadecimal digits. */
  services: string[];
}

/** Listens for so many seconds; every device heard, the strongest first. Rejects with a StaunchError (69) that says why Bluetooth cannot be used. */
export function scanBluetooth(options: BluetoothChildOptions & { seconds: number }): Promise<FoundBluetooth[]> {
  const { clock, seconds } = options;
  const found = new Map<string, FoundBluetooth>();
  return new Promise<FoundBluetooth[]>((resolve, reject) => {
    let cancelTimer = (): void => {};
    const child = new BluetoothChild(options, {
      message: (message) => {
        if (message.is === "trouble") end(() => reject(bluetoothTrouble(message.code, message.detail)));
        if (message.is !== "seen") return;
        const before = found.get(message.address);
        found.set(message.address, {
          address: message.address,
          name: message.name ?? before?.name ?? null,
          rssi_dBm: Math.max(message.rssi_dBm, before?.rssi_dBm ?? Number.NEGATIVE_INFINITY),
          services: [...new Set([...(before?.services ?? []), ...message.services])],
        });
      },
      gone: (how) => end(() => reject(bluetoothTrouble("bluetooth-failed", how))),
    });
    function end(settle: () => void): void {
      cancelTimer();
      child.end().then(settle, settle);
    }
    cancelTimer = clock.at(clock.now_ms() + seconds * 1000, () =>
      end(() => resolve([...found.values()].sort((one, other) => other.rssi_dBm - one.rssi_dBm))),
    );
    child.send({ do: "scan" });
  });
}
