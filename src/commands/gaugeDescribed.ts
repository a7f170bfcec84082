import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { findDriver } from "../../drivers/index.ts";
import type { LinkDefaults, Reference } from "../core/driver.ts";
import { dataError, isStaunchError } from "../core/errors.ts";
import { plainText } from "../core/text.ts";
import { type GaugeDescription, readGaugeToml } from "../intake/gaugeToml.ts";
import { parseGaugeUrl } from "../links/gaugeUrl.ts";

/** A gauge that is not on file in the archive but described in `<gauges folder>/NAME.toml`. */
export interface DescribedGauge {
  name: string;
  path: string;
  url: string;
  reference: Reference;
}

const ENDING = ".toml";
/** No more than a description may be long; a bigger file is not read at all. */
const LONGEST_BYTES = 4 * 65_536;
/** A file of the folder and of no other. */
const NAME = /^[\p{L}\p{N}][\p{L}\p{N}\p{M} ._#-]{0,39}$/u;

/** The address of a gauge on a serial port. */
export function serialUrl(port: string, { protocol, options, line }: Omit<GaugeDescription, "name"> & { line: LinkDefaults }): string {
  const place = encodeURIComponent(port).replaceAll("%2F", "/");
  const parts = Object.entries({ protocol, ...line }).concat(Object.entries(options));
  const query = parts.map(([name, value]) => `${name}=${encodeURIComponent(String(value))}`).join("&");
  return `serial://${place}?${query}`;
}

/** Where the description of a gauge of this name lies; `null` when there is none, or the word can be no file of that folder. */
export function describedAt(word: string, folder: string | undefined): string | null {
  if (folder === undefined || !NAME.test(word)) return null;
  const path = join(folder, `${word}${ENDING}`);
  return existsSync(path) ? path : null;
}

/** Names of the gauges described in the folder. */
export function describedNames(folder: string | undefined): string[] {
  if (folder === undefined || !existsSync(folder)) return [];
  const names = readdirSync(folder).filter((name) => name.endsWith(ENDING));
  return names.map((name) => name.slice(0, -ENDING.length)).filter((name) => NAME.test(name));
}

/** Reads one description. A StaunchError `gauge-toml` (65) says what is wrong with it; its driver and its address are tried at once. */
export function readDescribed(name: string, path: string): DescribedGauge {
  const refuse = (what: string, hint: string, cause?: unknown) =>
    dataError("gauge-toml", `${JSON.stringify(plainText(path, 200))} ${what}`, hint, cause);
  const description = readGaugeToml(textOf(path, refuse), path);
  const { port } = description;
  if (port === undefined) throw refuse("names no port.", 'Add a line above [serial] and [options]: port = "/dev/ttyUSB0"');
  const url = serialUrl(port, description);
  try {
    const address = parseGaugeUrl(url);
    const { reference } = findDriver(address.protocol).create(address.options);
    return { name, path, url, reference };
  } catch (cause) {
    if (isStaunchError(cause)) throw refuse(`cannot be used: ${cause.message}`, cause.hint, cause);
    throw cause;
  }
}

function textOf(path: string, refuse: (what: string, hint: string, cause?: unknown) => Error): string {
  try {
    const { size } = statSync(path);
    // A pipe has no end and would be waited for.
    if (statSync(path).isFile() && size <= LONGEST_BYTES) return readFileSync(path, "utf8");
  } catch (cause) {
    throw refuse("cannot be read.", "Check who may read it.", cause);
  }
  throw refuse("is no gauge file.", "staunch gauges learn prints one as it should be.");
}
