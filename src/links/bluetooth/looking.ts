import type { Noble, Peripheral } from "@abandonware/noble/with-custom-binding.js";
import { plainText } from "../../core/text.ts";
import { bounded } from "./bounded.ts";
import type { BluetoothTarget } from "./messages.ts";

const START_BOUND_ms = 3000;
const LONGEST_NAME = 40;
/** The step a `NoAnswer` names when the gauge was not heard. */
export const SEARCH = "search";

/** A name out of the air: raw bytes of anyone nearby, made fit to be shown; `null` when nothing is left. */
export const nameOf = ({ advertisement }: Peripheral): string | null => plainText(advertisement.localName ?? "", LONGEST_NAME) || null;

const digits = (text: string): string => text.replaceAll(/[:-]/g, "").toLowerCase();

/** `C0:00:00:00:00:02`, or the identifier a system shows in its place. */
export const addressOf = ({ address, id }: Peripheral): string =>
  (/^([0-9a-f]{2}[:-]){5}[0-9a-f]{2}$/i.test(address) ? address.replaceAll("-", ":") : digits(id)).toUpperCase();

const isTarget = (peripheral: Peripheral, { by, text }: BluetoothTarget): boolean =>
  by === "name"
    ? nameOf(peripheral) === plainText(text, LONGEST_NAME)
    : digits(text) === digits(peripheral.address) || digits(text) === digits(peripheral.id);

/**
 * A resolvable private address changes every quarter of an hour (Bluetooth Core 5.4, Vol 6 Part B §1.3.2.2: its two top bits are 01), so
 * such a gauge is looked for by name again; every other one keeps the address it had.
 */
export function targetAgain(peripheral: Peripheral, target: BluetoothTarget): BluetoothTarget {
  const changes = peripheral.addressType === "random" && (Number.parseInt(digits(peripheral.address).slice(0, 2), 16) & 0xc0) === 0x40;
  return target.by === "name" && changes ? target : { by: "address", text: peripheral.id };
}

/** Calls `see` with every advertisement until `until` settles. */
export async function look<T>(noble: Noble, see: (peripheral: Peripheral) => void, until: Promise<T>): Promise<T> {
  noble.on("discover", see);
  // It may fail while the scan is still being begun.
  until.catch(() => {});
  try {
    await bounded(START_BOUND_ms, "scan", noble.startScanningAsync([], true));
    return await until;
  } finally {
    noble.off("discover", see);
    // Connecting while scanning is refused by some adapters.
    await bounded(START_BOUND_ms, "end of scan", noble.stopScanningAsync()).catch(() => {});
  }
}

/** The gauge, as soon as it is heard; a `NoAnswer` when it is not. */
export function find(noble: Noble, target: BluetoothTarget, bound_ms: number): Promise<Peripheral> {
  let found: (peripheral: Peripheral) => void = () => {};
  const heard = new Promise<Peripheral>((resolve) => {
    found = resolve;
  });
  const see = (peripheral: Peripheral): void => {
    if (isTarget(peripheral, target)) found(peripheral);
  };
  return look(noble, see, bounded(bound_ms, SEARCH, heard));
}
