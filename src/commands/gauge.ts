import { findDriver } from "../../drivers/index.ts";
import { simulatedSettings } from "../../drivers/simulated/settings.ts";
import { speakerFor } from "../../drivers/simulated/speaker.ts";
import type { Driver } from "../core/driver.ts";
import { EXIT, StaunchError, usageError } from "../core/errors.ts";
import { EYE_Pa } from "../core/judging/keyed/eye.ts";
import type { Clock, Link } from "../core/link.ts";
import type { Limits } from "../core/methods/limits.ts";
import type { GaugeFacts } from "../core/record.ts";
import { bleLink } from "../links/ble.ts";
import { type GaugeAddress, parseGaugeUrl } from "../links/gaugeUrl.ts";
import { keyedDriver, keyedLink } from "../links/keyed.ts";
import { serialLink } from "../links/serial.ts";
import { usbIdentity } from "../links/serialPorts.ts";
import { simulatedLink } from "../links/simulated.ts";

/** A gauge ready to be opened, with what the record will say of it. */
export interface ReadyGauge {
  link: Link;
  driver: Driver;
  facts: GaugeFacts;
  /** Lines of gauges beside it, which `driver` then joins. */
  beside?: readonly Link[];
}

/** What a simulated pipe must know of what it is for; a real gauge only whether it is water. */
export type PressureAim = Pick<Limits, "test_Pa" | "charge_Pa" | "permittedDrop_Pa" | "hold_s" | "dn_mm" | "laid_length_m" | "water">;

/** What a simulated pipe is given where the section does not say; a real one never needs it. */
const SIMULATED_DN_MM = 150;
const SIMULATED_LENGTH_M = 50;

export interface GaugeWishes {
  url: string;
  resolution_Pa: number | null;
  accuracy_fraction: number | null;
  accuracy_Pa: number | null;
  /** `null`: life speed. Only a simulated gauge has another. */
  pace: number | null;
  /** The program of the process that holds the Bluetooth stack, as main.ts tells it; only `ble://` needs it. */
  bluetoothChild?: string;
}

/** From a gauge's address to its link and driver. Opens nothing. StaunchErrors (64): `gauge-url`, `protocol-unknown`, `pace-real`. */
export function readyGauge(wishes: GaugeWishes, limits: PressureAim, clock: Clock, wallStart_ms: number): ReadyGauge {
  const address = parseGaugeUrl(wishes.url);
  if (address.scheme !== "sim" && wishes.pace !== null) {
    throw usageError("pace-real", "--pace is for a simulated gauge: a real pipe takes its own time.", "Leave --pace out, or use sim://.");
  }
  if (address.scheme === "sim" && limits.water !== undefined) {
    throw usageError(
      "sim-water",
      "The simulated pipe holds air: it cannot play a water test.",
      "Use serial://, or keyed:// to type the head and the litres.",
    );
  }
  if (address.scheme === "sim") return simulated(address, wishes, limits, clock, wallStart_ms);
  if (address.scheme === "serial") return overSerial(address, wishes, clock);
  if (address.scheme === "ble") return overBluetooth(address, wishes, clock);
  return typed(address, wishes, limits, clock);
}

type Of<S extends GaugeAddress["scheme"]> = Extract<GaugeAddress, { scheme: S }>;

function overSerial(address: Of<"serial">, wishes: GaugeWishes, clock: Clock): ReadyGauge {
  const driver = findDriver(address.protocol).create(address.options);
  const silence_ms = address.silence_ms ?? undefined;
  const link = serialLink({ ...driver.link, ...address.line, path: address.path, clock, silence_ms });
  return { link, driver, facts: { ...facts(wishes, address.protocol, address.options, driver), ...usbFact(address.path) } };
}

function overBluetooth(address: Of<"ble">, wishes: GaugeWishes, clock: Clock): ReadyGauge {
  const driver = findDriver(address.protocol).create(address.options);
  const { bluetooth: channels } = driver;
  if (channels === undefined)
    throw usageError("gauge-url", `Protocol ${address.protocol} is not spoken over Bluetooth.`, "Write profile=ess, or profile=uart.");
  const childPath = wishes.bluetoothChild;
  if (childPath === undefined)
    throw new StaunchError({
      code: "gauge-not-supported",
      message: "This command cannot open a Bluetooth gauge.",
      hint: "staunch test can; or use a serial gauge.",
      exit: EXIT.gauge,
    });
  const target =
    address.name === null ? ({ by: "address", text: address.address ?? "" } as const) : ({ by: "name", text: address.name } as const);
  const describe = `the Bluetooth gauge ${address.name ?? address.address}`;
  const link = bleLink({ target, describe, channels, clock, childPath });
  return { link, driver, facts: facts(wishes, address.protocol, address.options, driver) };
}

function usbFact(path: string): Pick<GaugeFacts, "usb"> {
  const usb = usbIdentity(path);
  return usb === null ? {} : { usb };
}

function simulated(address: Of<"sim">, wishes: GaugeWishes, limits: PressureAim, clock: Clock, wallStart_ms: number): ReadyGauge {
  const settings = simulatedSettings(
    { ...address.options, protocol: address.protocol },
    {
      test_Pa: limits.test_Pa,
      charge_Pa: limits.charge_Pa,
      permittedDrop_Pa: limits.permittedDrop_Pa,
      hold_s: limits.hold_s,
      dn_mm: limits.dn_mm ?? SIMULATED_DN_MM,
      length_m: limits.laid_length_m ?? SIMULATED_LENGTH_M,
    },
  );
  const { protocol, driverOptions } = speakerFor(settings);
  const driver = findDriver(protocol).create(driverOptions);
  const link = simulatedLink(settings, { pace: wishes.pace ?? 1, real: clock, wallStart_ms });
  const told = { ...wishes, resolution_Pa: wishes.resolution_Pa ?? settings.resolution_Pa };
  return { link, driver, facts: facts(told, protocol, driverOptions, driver) };
}

/** Nothing is read; what is typed stands in the journal as keys. A tube of water is read to a millimetre unless told otherwise. */
function typed({ options }: Of<"keyed">, wishes: GaugeWishes, limits: PressureAim, clock: Clock): ReadyGauge {
  const [unknown] = Object.keys(options);
  if (unknown !== undefined)
    throw usageError(
      "gauge-url",
      `keyed:// has no option ${unknown}.`,
      "Write keyed://; --resolution says how finely an eye reads the scale.",
    );
  const resolution_Pa = wishes.resolution_Pa ?? (limits.water === undefined ? EYE_Pa : null);
  return { link: keyedLink(clock), driver: keyedDriver, facts: facts({ ...wishes, resolution_Pa }, keyedDriver.protocol, {}, keyedDriver) };
}

const facts = (wishes: GaugeWishes, protocol: string, driverOptions: Record<string, string>, driver: Driver): GaugeFacts => ({
  url: wishes.url,
  protocol,
  driverOptions,
  reference: driver.reference,
  resolution_Pa: wishes.resolution_Pa,
  accuracy_fraction: wishes.accuracy_fraction,
  accuracy_Pa: wishes.accuracy_Pa,
});

/** The driver a record was made with. */
export const driverOf = (facts: GaugeFacts): Driver =>
  facts.protocol === keyedDriver.protocol ? keyedDriver : findDriver(facts.protocol).create(facts.driverOptions ?? {});
