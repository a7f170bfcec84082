/**
 * A seal makes a record's bytes one with all that was known before it.
 *
 *     seal = SHA-256( "staunch seal 1" 0 ║ previous seal (32 bytes; zeros for the first) ║ length of head (8 bytes, big end first) ║ head
 *                     ║ SHA-256 of block 1 ║ SHA-256 of block 2 … )
 *     signature = Ed25519 over the seal (RFC 8032), with the key of the machine that tested
 *
 * The head is JSON text kept as it was sealed, byte for byte: it is hashed as it lies, never written anew.
 */
import { createHash, createPublicKey, generateKeyPairSync, type KeyObject, sign, verify } from "node:crypto";

const DOMAIN = new TextEncoder().encode("staunch seal 1\0");
/** Stands as the previous seal in the first entry of a chain. */
export const NO_SEAL: Uint8Array = new Uint8Array(32);

export interface ToSeal {
  /** The seal before it in the same chain, 32 bytes. */
  previous: Uint8Array;
  head: Uint8Array;
  /** SHA-256 of each block as stored, in order. */
  blockHashes: readonly Uint8Array[];
}

/** SHA-256 (FIPS 180-4), 32 bytes. */
export const hashOf = (bytes: Uint8Array): Uint8Array => new Uint8Array(createHash("sha256").update(bytes).digest());

/** RangeError when a hash is not 32 bytes long. */
export function sealOf({ previous, head, blockHashes }: ToSeal): Uint8Array {
  for (const hash of [previous, ...blockHashes]) if (hash.length !== 32) throw new RangeError("a hash has 32 bytes");
  const length = new Uint8Array(8);
  new DataView(length.buffer).setBigUint64(0, BigInt(head.length));
  const hash = createHash("sha256");
  for (const part of [DOMAIN, previous, length, head, ...blockHashes]) hash.update(part);
  return new Uint8Array(hash.digest());
}

/** A new key pair: the private one as PEM (PKCS #8), to be kept from others; the public one as 44 bytes of DER (RFC 8410). */
export function newKey(): { privatePem: string; publicDer: Uint8Array } {
  const { privateKey, publicKey } = generateKeyPairSync("ed25519");
  return { privatePem: privateKey.export({ type: "pkcs8", format: "pem" }).toString(), publicDer: derOf(publicKey) };
}

/** The public half of a private key, 44 bytes of DER. */
export const publicKeyOf = (privateKey: KeyObject): Uint8Array => derOf(createPublicKey(privateKey));

const derOf = (key: KeyObject): Uint8Array => new Uint8Array(key.export({ type: "spki", format: "der" }));

/** Ed25519 over the 32 bytes of a seal, 64 bytes. */
export const signSeal = (seal: Uint8Array, privateKey: KeyObject): Uint8Array => new Uint8Array(sign(null, seal, privateKey));

/** False for a key or signature that is none, too: both may be a stranger's. */
export function isSignedBy(seal: Uint8Array, signature: Uint8Array, publicDer: Uint8Array): boolean {
  const key = plainKey(publicDer);
  try {
    return key !== null && signature.length === 64 && verify(null, seal, key, signature);
  } catch {
    return false;
  }
}

/** To read a key takes longer than to check a signature, and an archive has few keys for many entries. */
const READ = new Map<string, KeyObject | null>();
const MOST_READ = 100;

function plainKey(publicDer: Uint8Array): KeyObject | null {
  const name = Buffer.from(publicDer).toString("latin1");
  const known = READ.get(name);
  if (known !== undefined) return known;
  const key = readKey(publicDer);
  if (READ.size >= MOST_READ) READ.clear();
  READ.set(name, key);
  return key;
}

function readKey(publicDer: Uint8Array): KeyObject | null {
  try {
    const key = createPublicKey({ key: Buffer.from(publicDer), format: "der", type: "spki" });
    // One key can be written in several ways (DER counts unused bits); only the one way is the one whose fingerprint people know.
    return key.asymmetricKeyType === "ed25519" && Buffer.from(derOf(key)).equals(publicDer) ? key : null;
  } catch {
    return null;
  }
}

/** What people compare a key by: eight groups of four hexadecimal digits, half of the SHA-256 of its DER. */
export function fingerprintOf(publicDer: Uint8Array): string {
  const digits = Buffer.from(hashOf(publicDer)).toString("hex").slice(0, 32);
  return (digits.match(/.{4}/g) ?? []).join(" ");
}

/** Letters and digits that are not taken for one another when written by hand: no I, L, O, U (D. Crockford's base 32, from memory). */
const HAND = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/** A seal in short, for a witness's notebook: 80 of its bits as four groups of four. To forge another with the same takes 2^80 tries. */
export function shortSeal(seal: Uint8Array): string {
  let letters = "";
  let held = 0;
  let bits = 0;
  for (const byte of seal.subarray(0, 10)) {
    held = held * 256 + byte;
    for (bits += 8; bits >= 5; bits -= 5) {
      const weight = 2 ** (bits - 5);
      letters += HAND[Math.floor(held / weight)] ?? "";
      held %= weight;
    }
  }
  return (letters.match(/.{4}/g) ?? []).join("-");
}
