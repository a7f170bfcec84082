import { closeSync, existsSync, openSync, readSync, statSync } from "node:fs";
import { dataError } from "../core/errors.ts";
import { guarded, notAnArchiveError } from "./trouble.ts";

/** A file that is only read, piece by piece: SQLite itself never opens it, so nothing is made, locked or mended beside it. */
export interface Bytes {
  size: number;
  /** Shorter at the end of the file. */
  at(offset: number, length: number): Buffer;
}

export interface OpenBytes extends Bytes {
  close(): void;
}

const NOTHING: OpenBytes = { size: 0, at: () => Buffer.alloc(0), close: () => undefined };

/** A damaged archive and its log. StaunchErrors `archive-missing`, `not-an-archive` (65), `archive-read-only` and the like (74). */
export function openDamaged(path: string): { main: OpenBytes; log: OpenBytes } {
  if (!existsSync(path)) throw dataError("archive-missing", `There is no archive at ${path}.`, "Check the path.");
  if (!statSync(path).isFile()) throw notAnArchiveError(path, undefined);
  const main = openBytes(path);
  const log = `${path}-wal`;
  return { main, log: existsSync(log) && statSync(log).isFile() ? openBytes(log) : NOTHING };
}

function openBytes(path: string): OpenBytes {
  const file = guarded(path, () => openSync(path, "r"));
  return {
    size: guarded(path, () => statSync(path).size),
    at: (offset, length) => {
      const bytes = Buffer.alloc(length);
      return bytes.subarray(0, readWell(file, bytes, offset));
    },
    close: () => closeSync(file),
  };
}

/** A medium that fails at one place is read around it: what it would not give is nothing. */
function readWell(file: number, bytes: Buffer, offset: number): number {
  try {
    return readSync(file, bytes, 0, bytes.length, offset);
  } catch (error) {
    if (error instanceof Error && "code" in error && error.code === "EIO") return bytes.fill(0).length;
    throw error;
  }
}
