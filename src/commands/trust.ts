import { createPublicKey } from "node:crypto";
import { dataError, isStaunchError } from "../core/errors.ts";
import { plainText } from "../core/text.ts";
import { fingerprintOf } from "../evidence/seal.ts";
import { findKey, type MachineKey, type Signer } from "../storage/key.ts";
import type { Io } from "./io.ts";

/** The keys a person names with --trust, by fingerprint or file, and this machine's own: nobody else's seal counts as intact. */
export async function trustedKeys(words: readonly string[], own: MachineKey | null, io: Io): Promise<Set<string>> {
  const trusted = new Set(own === null ? [] : [own.fingerprint]);
  for (const word of words) trusted.add(fingerprintFrom(word) ?? (await fingerprintOfFile(word, io)));
  return trusted;
}

/** This machine's own key. One that cannot be read keeps nobody from looking at seals; that it is not trusted then is said. */
export function keyOrNone(place: string | undefined, io: Io): MachineKey | null {
  try {
    return place === undefined ? null : findKey(place);
  } catch (error) {
    if (!isStaunchError(error)) throw error;
    io.err(`staunch: ${plainText(error.message, 500)} Name its fingerprint with --trust.`);
    return null;
  }
}

/** With or without blanks, hyphens, colons, in any case; `null`: it is no fingerprint. */
function fingerprintFrom(word: string): string | null {
  const digits = word.replace(/[\s:-]/g, "").toLowerCase();
  return /^[0-9a-f]{32}$/.test(digits) ? (digits.match(/.{4}/g) ?? []).join(" ") : null;
}

const fingerprintOfFile = async (path: string, io: Io): Promise<string> => fingerprintOf(await publicKeyIn(path, io));

/** The public key in a file, as DER. StaunchErrors (65) for a file with none, with two, or that tells a fingerprint which is not its key's. */
export async function publicKeyIn(path: string, io: Io): Promise<Uint8Array> {
  const text = new TextDecoder().decode(await io.readFile(path));
  const named = JSON.stringify(plainText(path, 100));
  const [found, second] = new Map(keysIn(text).map((key) => [fingerprintOf(key), key]));
  if (found === undefined)
    throw dataError(
      "key-unreadable",
      `${named} is neither a fingerprint nor a file with a key of ours.`,
      "Give the eight groups that `staunch verify --key` shows on the machine that tested, or a file with its output.",
    );
  const [fingerprint, key] = found;
  // What people compare by eye must be what is trusted.
  const isOther = (text.match(/\b[0-9a-f]{4}(?: [0-9a-f]{4}){7}\b/gi) ?? []).some((told) => told.toLowerCase() !== fingerprint);
  if (second === undefined && !isOther) return key;
  throw dataError(
    "key-contradicts",
    second === undefined ? `${named} tells another fingerprint than that of the key in it.` : `${named} holds more than one key.`,
    "Ask the key's owner for the fingerprint by another way, and give its eight groups.",
  );
}

function keysIn(text: string): Uint8Array[] {
  const pems = text.match(/-----BEGIN (PUBLIC|PRIVATE) KEY-----[\s\S]{1,2000}?-----END \1 KEY-----/g) ?? [];
  return pems.flatMap((pem) => {
    try {
      const key = createPublicKey(pem);
      return key.asymmetricKeyType === "ed25519" ? [new Uint8Array(key.export({ type: "spki", format: "der" }))] : [];
    } catch {
      return [];
    }
  });
}

/** The public key as people hand it on: its fingerprint, then PEM text. */
export const publicText = ({ fingerprint, publicDer }: MachineKey): string => [`fingerprint  ${fingerprint}`, pemOf(publicDer)].join("\n");

/** A public key as PEM text (SPKI) without the line end behind it. */
export const pemOf = (publicDer: Signer["publicDer"]): string =>
  createPublicKey({ key: Buffer.from(publicDer), format: "der", type: "spki" })
    .export({ type: "spki", format: "pem" })
    .toString()
    .trimEnd();
