import { createPrivateKey, type KeyObject } from "node:crypto";
import { closeSync, existsSync, fsyncSync, linkSync, openSync, readFileSync, renameSync, rmSync, statSync, writeSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { EXIT, isStaunchError, StaunchError } from "../core/errors.ts";
import { fingerprintOf, newKey, publicKeyOf } from "../evidence/seal.ts";
import { field, jsonObject, whole } from "./shape.ts";
import { connect, makeFolder } from "./sqlite.ts";

export interface Signer {
  readonly privateKey: KeyObject;
  /** 44 bytes of DER (RFC 8410). */
  readonly publicDer: Uint8Array;
}

/** This machine's key, and how many attempts it has begun. */
export interface MachineKey extends Signer {
  readonly path: string;
  readonly fingerprint: string;
  /** True when others on this machine can read the private key. */
  readonly isOpen: boolean;
  attempts(): number;
  /** Counts one more attempt, on disk before this returns, and gives its number, from 1. */
  beginAttempt(): number;
  /** An attempt whose record the disk refused before anything was kept of it: its number is free again, unless another was counted since. */
  giveBack(attempt: number): void;
}

/** A neighbour holds the key's files for a moment only. */
const NEIGHBOUR_WAIT_MS = 2000;

/** The key at `path`, made now when there is none. A StaunchError `key-unusable` (74) when it can neither be read nor made. */
export function openKey(path: string): MachineKey {
  const full = resolve(path);
  return trying(full, () => {
    if (!existsSync(full)) {
      makeFolder(dirname(full), 0o700);
      locked(full, () => {
        if (!existsSync(full)) writeWhole(full, newKey().privatePem, "new");
      });
    }
    return machineKey(full);
  });
}

/** The key at `path`, or `null` when there is none; makes nothing. */
export function findKey(path: string): MachineKey | null {
  const full = resolve(path);
  return existsSync(full) ? trying(full, () => machineKey(full)) : null;
}

/** A key has a hundred bytes; a pipe or a device may never end. */
const LARGEST_KEY = 65_536;

function machineKey(path: string): MachineKey {
  const found = statSync(path);
  if (!found.isFile() || found.size > LARGEST_KEY) throw new Error("it is no file with a key");
  const privateKey = createPrivateKey(readFileSync(path));
  if (privateKey.asymmetricKeyType !== "ed25519") throw new Error("it is not an Ed25519 key");
  const publicDer = publicKeyOf(privateKey);
  const fingerprint = fingerprintOf(publicDer);
  return {
    path,
    privateKey,
    publicDer,
    fingerprint,
    isOpen: (statSync(path).mode & 0o077) !== 0 && process.platform !== "win32",
    attempts: () => trying(path, () => counted(path, fingerprint)),
    beginAttempt: () =>
      trying(path, () =>
        locked(path, () => {
          const attempt = counted(path, fingerprint) + 1;
          count(path, fingerprint, attempt);
          return attempt;
        }),
      ),
    giveBack: (attempt) =>
      trying(path, () =>
        locked(path, () => {
          if (counted(path, fingerprint) === attempt) count(path, fingerprint, attempt - 1);
        }),
      ),
  };
}

const counterOf = (path: string): string => `${path}.attempts`;

function counted(path: string, fingerprint: string): number {
  if (!existsSync(counterOf(path))) return 0;
  const value = jsonObject(readFileSync(counterOf(path), "utf8"));
  const attempts = whole(field(value, "attempts"));
  if (field(value, "key") !== fingerprint || attempts === null || attempts < 0) throw new Error("its counter of attempts is not its own");
  return attempts;
}

const count = (path: string, fingerprint: string, attempts: number): void =>
  writeWhole(counterOf(path), `${JSON.stringify({ key: fingerprint, attempts })}\n`, "over");

/** The whole file or none of it, also when the power goes: written beside, forced to disk, then put in place. */
function writeWhole(path: string, text: string, place: "new" | "over"): void {
  const beside = `${path}.new`;
  rmSync(beside, { force: true });
  const file = openSync(beside, "wx", 0o600);
  try {
    writeSync(file, text);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
  if (place === "over") renameSync(beside, path);
  else {
    // Unlike a rename a link never takes the place of a key that is there.
    linked(beside, path);
    rmSync(beside, { force: true });
  }
  syncFolder(dirname(path));
}

/** A memory card may know no links; there the lock alone keeps two programs apart. */
function linked(from: string, to: string): void {
  try {
    linkSync(from, to);
  } catch (error) {
    if (existsSync(to)) throw error;
    renameSync(from, to);
  }
}

function syncFolder(folder: string): void {
  try {
    const handle = openSync(folder, "r");
    fsyncSync(handle);
    closeSync(handle);
  } catch {
    // Some systems do not let a folder be opened; theirs is to keep its entries.
  }
}

/** One program at a time; the operating system lets go when it dies. */
function locked<T>(path: string, action: () => T): T {
  const db = connect(`${path}.lock`, { mode: "write", wait_ms: NEIGHBOUR_WAIT_MS });
  try {
    db.exec("begin immediate");
    return action();
  } finally {
    db.close();
  }
}

function trying<T>(path: string, action: () => T): T {
  try {
    return action();
  } catch (cause) {
    if (isStaunchError(cause, "addon-not-loaded")) throw cause;
    throw new StaunchError({
      code: "key-unusable",
      message: `This machine's key ${path} cannot be used: ${cause instanceof Error ? cause.message : String(cause)}`,
      hint: "See that its folder can be written and the file is whole, or name another place with STAUNCH_KEY; records stay unsealed until then.",
      exit: EXIT.storage,
      cause,
    });
  }
}
