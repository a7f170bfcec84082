import type { BluetoothChannels } from "../../core/driver.ts";

/**
 * What goes between the program and the process that holds the Bluetooth stack. Times of the child are milliseconds of its own monotonic clock.
 *
 *     parent ── sync, scan | watch, write, again, end ──► child ── noble ── adapter
 *            ◄── sync, seen, up, value, sent, down, trouble ──
 */
export type ToChild =
  | { do: "sync"; parent_ms: number }
  | { do: "scan" }
  | { do: "watch"; target: BluetoothTarget; channels: BluetoothChannels }
  | { do: "write"; bytes: Uint8Array }
  /** Connect anew: nothing comes although the link stands. */
  | { do: "again"; why: string }
  | { do: "end" };

export type FromChild =
  | { is: "sync"; parent_ms: number; child_ms: number }
  | { is: "seen"; address: string; name: string | null; services: readonly string[]; rssi_dBm: number }
  | { is: "up"; at_ms: number; address: string; name: string | null; mtu: number | null; doubled: readonly string[] }
  | { is: "value"; at_ms: number; label: number; bytes: Uint8Array }
  | { is: "sent"; at_ms: number; bytes: Uint8Array }
  | { is: "down"; at_ms: number; reason: string }
  | { is: "trouble"; code: TroubleCode; detail: string };

/** Whom to connect to: an address of 12 (or, on macOS, an identifier of 32) lower case digits, or a name as `scanBluetooth` gives it. */
export type BluetoothTarget = { by: "address" | "name"; text: string };

export type TroubleCode =
  | "bluetooth-not-built"
  | "bluetooth-no-kernel"
  | "bluetooth-no-adapter"
  | "bluetooth-not-allowed"
  | "bluetooth-off"
  | "bluetooth-unsupported"
  | "bluetooth-not-found"
  | "bluetooth-no-link"
  | "bluetooth-wrong-profile"
  | "bluetooth-failed";

/** Inside the child: why Bluetooth cannot be used, by code. */
export class Trouble extends Error {
  readonly code: TroubleCode;

  constructor(code: TroubleCode, detail: string) {
    super(detail);
    this.code = code;
  }
}
