import type { Command as CommandLine } from "commander";
import { isStaunchError, StaunchError, usageError } from "../core/errors.ts";
import { limitsFor, METHODS } from "../core/methods/index.ts";
import type { Limits } from "../core/methods/limits.ts";
import { parseMaterial } from "../core/methods/materials.ts";
import type { OwnMethod, Pipe } from "../core/methods/method.ts";
import { nearest } from "../core/nearest.ts";
import { parseDn, parseLength } from "../core/units.ts";
import { type AirWords, airOptions, toldFrom } from "./airWords.ts";
import type { Io } from "./io.ts";
import { type WaterWords, waterOptions, waterPlanFrom } from "./waterWords.ts";

/** The words that describe a section, as commander hands them over. */
export interface SectionWords extends WaterWords, AirWords {
  dn?: string | undefined;
  material?: string | undefined;
  laidLength?: string | undefined;
}

/** Adds all of them to a command, so that every command that judges takes the same. */
export const sectionOptions = (line: CommandLine): CommandLine =>
  airOptions(
    waterOptions(
      line
        .option("--dn <size>", "size the specification names: 300 (mm) or 12in")
        .option("--material <name>", "such as pvc, clay, dry-concrete")
        .option("--laid-length <length>", "45 (m) or 150ft; a chamber's depth"),
    ),
  );

/** Words → figures: `null` for size, material and length that were not said, the rest only where it was. */
export function pipeFrom({ dn, material, laidLength, ...words }: SectionWords): Pipe {
  const water = waterPlanFrom(words);
  const also = (water?.branches ?? []).map(({ bore_mm, length_m }) => ({ dn_mm: bore_mm, length_m }));
  return {
    dn_mm: dn === undefined ? null : parseDn(dn),
    material: material === undefined ? null : parseMaterial(material),
    laid_length_m: laidLength === undefined ? null : parseLength(laidLength),
    ...(water === undefined ? {} : { water }),
    ...(also.length === 0 ? {} : { also }),
    ...toldFrom(words),
  };
}

/** Bytes of a file people brought → text; what is no UTF-8 becomes U+FFFD, which the readers refuse. */
const decodeText = (bytes: Uint8Array): string => new TextDecoder("utf-8").decode(bytes);

/** Runs a reader over a file's text and puts the file's name before what it complains of. */
export async function readNamed<T>(path: string, io: Io, read: (text: string) => T): Promise<T> {
  const text = decodeText(await io.readFile(path));
  try {
    return read(text);
  } catch (error) {
    if (!isStaunchError(error)) throw error;
    const { code, message, hint, exit } = error;
    throw new StaunchError({ code, message: `${path === "-" ? "standard input" : path}: ${message}`, hint, exit, cause: error });
  }
}

/** A method file: its name ends in .json, or it is given as a path. */
const isFile = (word: string): boolean => /\.json$/i.test(word) || /[\\/]/.test(word);

/** `--method ID or FILE` → an id of the list, or a method of the user's own. StaunchErrors: `method-unknown`, and what the file gives. */
export async function methodFrom(word: string, io: Io): Promise<string | OwnMethod> {
  if (isFile(word)) {
    const { readMethodJson } = await import("../intake/methodJson.ts");
    return readNamed(word, io, readMethodJson);
  }
  const ids = METHODS.map(({ id }) => id);
  const id = word.toLowerCase();
  if (ids.includes(id)) return id;
  const near = nearest(id, ids);
  throw usageError(
    "method-unknown",
    `There is no method ${JSON.stringify(word.slice(0, 60))}.`,
    `${near === undefined ? "" : `Did you mean ${near}? `}See: staunch methods list; or give a method file ending in .json.`,
  );
}

/** Method and section worked out together. */
export const limitsFrom = async (word: string, pipe: Pipe, io: Io): Promise<Limits> => limitsFor(await methodFrom(word, io), pipe);
