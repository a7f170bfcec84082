import type { DriverEntry } from "../src/core/driver.ts";
import { usageError } from "../src/core/errors.ts";
import { ess } from "./ess.ts";
import { line } from "./line.ts";
import { modbus } from "./modbus.ts";
import { scpi } from "./scpi.ts";
import { uart } from "./uart.ts";
import { xdr } from "./xdr.ts";

/** Every protocol we speak. A new driver is one file beside this one and one line here. */
export const DRIVERS: readonly DriverEntry[] = [line, scpi, modbus, xdr, ess, uart];

/** The driver of a protocol; a StaunchError `protocol-unknown` when there is none. */
export function findDriver(protocol: string): DriverEntry {
  const entry = DRIVERS.find((one) => one.protocol === protocol);
  if (entry !== undefined) return entry;
  throw usageError(
    "protocol-unknown",
    `${JSON.stringify(protocol)} is not a gauge protocol known here.`,
    `Known protocols: ${DRIVERS.map((one) => one.protocol).join(", ")}.`,
  );
}
