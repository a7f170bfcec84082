import { createPublicKey } from "node:crypto";
import { dataError } from "../core/errors.ts";
import { fingerprintOf } from "../evidence/seal.ts";
import type { MachineKey, Signer } from "../storage/key.ts";
import type { Io } from "./io.ts";

/** The keys a person names with --trust, by fingerprint or file, and this machine's own: nobody else's seal counts as intact. */
export async function trustedKeys(words: readonly string[], own: MachineKey | null, io: Io): Promise<Set<string>> {
  const trusted = new Set(own === null ? [] : [own.fingerprint]);
  for (const word of words) trusted.add(fingerprintFrom(word) ?? (await fingerprintOfFile(word, io)));
  return trusted;
}

/** With or without blanks, hyphens, colons, in any case; `null`: it is no fingerprint. */
function fingerprintFrom(word: string): string | null {
  const digits = word.replace(/[\s:-]/g, "").toLowerCase();
  return /^[0-9a-f]{32}$/.test(digits) ? (digits.match(/.{4}/g) ?? []).join(" ") : null;
}

const fingerprintOfFile = async (path: string, io: Io): Promise<string> => fingerprintOf(await publicKeyIn(path, io));

/** The public key in a file, as DER. A StaunchError (65) for a file with none. */
export async function publicKeyIn(path: string, io: Io): Promise<Uint8Array> {
  const text = new TextDecoder().decode(await io.readFile(path));
  const pem = /-----BEGIN (PUBLIC|PRIVATE) KEY-----[\s\S]{1,2000}?-----END \1 KEY-----/.exec(text)?.[0];
  try {
    const key = createPublicKey(pem ?? "");
    if (key.asymmetricKeyType === "ed25519") return new Uint8Array(key.export({ type: "spki", format: "der" }));
  } catch {
    // Said below like any other file that holds no key.
  }
  throw dataError(
    "key-unreadable",
    `${JSON.stringify(path.slice(0, 100))} is neither a fingerprint nor a file with a key of ours.`,
    "Give the eight groups that `staunch verify --key` shows on the machine that tested, or a file with its output.",
  );
}

/** The public key as people hand it on: its fingerprint, then PEM text. */
export const publicText = ({ fingerprint, publicDer }: MachineKey): string => [`fingerprint  ${fingerprint}`, pemOf(publicDer)].join("\n");

export const pemOf = (publicDer: Signer["publicDer"]): string =>
  createPublicKey({ key: Buffer.from(publicDer), format: "der", type: "spki" })
    .export({ type: "spki", format: "pem" })
    .toString()
    .trimEnd();
