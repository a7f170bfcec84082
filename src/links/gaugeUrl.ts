import type { LinkDefaults } from "../core/driver.ts";
import { type StaunchError, usageError } from "../core/errors.ts";
import { plainText } from "../core/text.ts";
import type { ControlLines } from "./serialPort.ts";

/**
 * A gauge's address, taken apart. What is left in `options` is for the driver or the simulated pipe to refuse or use.
 *
 *     serial:///dev/ttyUSB0?protocol=scpi&baud=9600&query=READ?
 *     └scheme  └ path       └ protocol    └ line    └ options
 */
export type GaugeAddress =
  | { scheme: "serial"; path: string; protocol: string; line: LinkDefaults & ControlLines; silence_ms: number | null; options: Options }
  /** One of `address` and `name` is `null`. */
  | { scheme: "ble"; address: string | null; name: string | null; protocol: string; options: Options }
  | { scheme: "sim"; protocol: string; options: Options }
  | { scheme: "keyed"; protocol: "keyed"; options: Options };

type Options = Record<string, string>;

const EXAMPLES =
  "Examples: serial:///dev/ttyUSB0?protocol=line&baud=9600, ble://AA:BB:CC:DD:EE:FF?profile=ess, sim://?leak=0.8&seed=7, keyed://";
/** `+` stays a plus: only form data means a blank by it, and a gauge's text may need one. */
const SHAPE = /^([a-z]+):\/\/([^?]*)(?:\?(.*))?$/is;

const badUrl = (message: string, hint = EXAMPLES): StaunchError => usageError("gauge-url", message, hint);

function decoded(text: string, url: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    throw badUrl(
      `The gauge address ${JSON.stringify(url)} has a % that is not followed by two hexadecimal digits.`,
      "Write a percent sign as %25.",
    );
  }
}

function optionsOf(query: string, url: string): Options {
  const options: Options = Object.create(null);
  for (const part of query.split("&").filter((one) => one !== "")) {
    const cut = part.indexOf("=");
    const name = decoded(cut < 0 ? part : part.slice(0, cut), url);
    if (cut < 1) throw badUrl(`The gauge address ${JSON.stringify(url)} gives ${JSON.stringify(name)} no value.`, "Write name=value.");
    if (name in options) throw badUrl(`The gauge address ${JSON.stringify(url)} gives ${name} twice.`, "Give each option once.");
    options[name] = decoded(part.slice(cut + 1), url);
  }
  return { ...options };
}

/** Takes one option out; `undefined` when it is not there. */
function take(options: Options, name: string): string | undefined {
  const value = options[name];
  delete options[name];
  return value;
}

function takeWhole(options: Options, name: string, low: number, high: number): number | undefined {
  const text = take(options, name);
  if (text === undefined) return undefined;
  const value = /^\d{1,9}$/.test(text) ? Number(text) : Number.NaN;
  if (value >= low && value <= high) return value;
  throw badUrl(`${name}=${JSON.stringify(text)} is no setting of a serial line.`, `${name} must be a whole number from ${low} to ${high}.`);
}

function takeOne<T extends string | number>(options: Options, name: string, words: readonly T[]): T | undefined {
  const text = take(options, name);
  if (text === undefined) return undefined;
  const word = words.find((one) => String(one) === text);
  if (word !== undefined) return word;
  throw badUrl(`${name}=${JSON.stringify(text)} is no setting of a serial line.`, `${name} must be one of ${words.join(", ")}.`);
}

function lineOf(options: Options): LinkDefaults & ControlLines {
  const baud = takeWhole(options, "baud", 50, 4_000_000);
  const dataBits = takeOne(options, "dataBits", [5, 6, 7, 8] as const);
  const parity = takeOne(options, "parity", ["none", "even", "odd", "mark", "space"] as const);
  const stopBits = takeOne(options, "stopBits", [1, 1.5, 2] as const);
  const flow = takeOne(options, "flow", ["none", "rtscts", "xonxoff"] as const);
  const controls = controlsOf(options);
  if (flow === "rtscts" && controls.rts !== undefined)
    throw badUrl(`rts=${controls.rts} does not go with flow=rtscts, which works RTS itself.`, "Leave one of them out.");
  return {
    ...controls,
    ...(baud === undefined ? {} : { baud }),
    ...(dataBits === undefined ? {} : { dataBits }),
    ...(parity === undefined ? {} : { parity }),
    ...(stopBits === undefined ? {} : { stopBits }),
    ...(flow === undefined ? {} : { flow }),
  };
}

function controlsOf(options: Options): ControlLines {
  const dtr = takeOne(options, "dtr", ["on", "off"] as const);
  const rts = takeOne(options, "rts", ["on", "off"] as const);
  const hupcl = takeOne(options, "hupcl", ["on", "off"] as const);
  return { ...(dtr === undefined ? {} : { dtr }), ...(rts === undefined ? {} : { rts }), ...(hupcl === undefined ? {} : { hupcl }) };
}

/** A COM port is named without the leading slash; every other path must be absolute. */
function serialPath(place: string, url: string): string {
  const com = /^\/?(COM\d{1,3})$/i.exec(place)?.[1];
  if (com !== undefined) return com.toUpperCase();
  if (place.startsWith("/") && place.length > 1 && !place.includes("\0")) return place;
  throw badUrl(
    `The gauge address ${JSON.stringify(url)} names no serial port.`,
    "Write three slashes and the port: serial:///dev/ttyUSB0?protocol=line",
  );
}

function serialAddress(place: string, options: Options, url: string): GaugeAddress {
  const path = serialPath(place, url);
  const protocol = take(options, "protocol");
  if (protocol === undefined)
    throw badUrl(`The gauge address ${JSON.stringify(url)} names no protocol.`, "Add protocol=line or protocol=scpi.");
  const silence_ms = takeWhole(options, "silence", 500, 600_000) ?? null;
  return { scheme: "serial", path, protocol, line: lineOf(options), silence_ms, options };
}

/** Bluetooth addresses are six bytes; macOS hides them behind a 16-byte identifier of its own. Everything else is a name. */
function bleAddress(place: string, options: Options, url: string): GaugeAddress {
  const isAddress = /^([0-9a-f]{12}|[0-9a-f]{32})$/i.test(place.replaceAll(/[:-]/g, ""));
  const name = plainText(place, 40);
  // Six bytes with one missing are a slip, not a name.
  if (name === "" || (!isAddress && /^[0-9a-f]{2}([:-][0-9a-f]{1,2})+$/i.test(place)))
    throw badUrl(
      `The gauge address ${JSON.stringify(url)} names no Bluetooth device.`,
      "Write ble://AA:BB:CC:DD:EE:FF?profile=ess or ble://NAME?profile=ess; staunch gauges find lists both.",
    );
  const protocol = take(options, "profile");
  if (protocol === undefined)
    throw badUrl(`The gauge address ${JSON.stringify(url)} names no profile.`, "Add profile=ess or another profile.");
  return { scheme: "ble", address: isAddress ? place.toUpperCase() : null, name: isAddress ? null : name, protocol, options };
}

/** Takes a gauge's address apart; a StaunchError `gauge-url` (exit 64) says what is wrong with it. Opens nothing. */
export function parseGaugeUrl(url: string): GaugeAddress {
  const parts = SHAPE.exec(url.trim());
  if (parts === null) throw badUrl(`${JSON.stringify(url)} is not a gauge address.`);
  const scheme = (parts[1] ?? "").toLowerCase();
  const place = decoded(parts[2] ?? "", url);
  const options = optionsOf(parts[3] ?? "", url);
  if (scheme === "serial") return serialAddress(place, options, url);
  if (scheme === "ble") return bleAddress(place, options, url);
  if (scheme !== "sim" && scheme !== "keyed")
    throw badUrl(`The gauge address ${JSON.stringify(url)} begins with the unknown scheme ${scheme}://.`);
  if (place !== "" && place !== "/") throw badUrl(`The gauge address ${JSON.stringify(url)} names a place, but ${scheme}:// has none.`);
  if (scheme === "sim") return { scheme, protocol: take(options, "protocol") ?? "line", options };
  return { scheme, protocol: "keyed", options };
}
