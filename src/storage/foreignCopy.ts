import { closeSync, copyFileSync, mkdtempSync, openSync, readSync, rmSync, statfsSync, statSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import Database from "better-sqlite3";
import { EXIT, StaunchError } from "../core/errors.ts";
import { harden } from "./check.ts";
import { beingWritten, lookOf } from "./fileLook.ts";
import { APPLICATION_ID } from "./migrate.ts";
import { hasLog } from "./sqlite.ts";
import { archiveError, guarded, notAnArchiveError } from "./trouble.ts";

const COPY_TRIES = 3;

/** File format §1.3: byte 18 says 2 for a write-ahead log. */
export function isWriteAhead(path: string): boolean {
  const header = headerOf(path);
  return header[18] === 2 || header[19] === 2;
}

const HEADER_BYTES = 100;
const APPLICATION_AT = 68;

function headerOf(path: string): Buffer {
  const header = Buffer.alloc(HEADER_BYTES);
  return guarded(path, () => {
    const file = openSync(path, "r");
    try {
      readSync(file, header, 0, HEADER_BYTES, 0);
    } finally {
      closeSync(file);
    }
    return header;
  });
}

/** Left free for what a test that is running writes meanwhile. */
const SPARE_BYTES = 256 * 2 ** 20;

/** A copy of what a stranger made large must not fill the disk on which tests are kept. */
function refuseCopy(path: string, folder: string): void {
  const application = headerOf(path).readUInt32BE(APPLICATION_AT);
  // Of an archive that was never closed the mark may still lie in the log.
  const isOurs = application === APPLICATION_ID || (application === 0 && hasLog(path));
  if (!isOurs) throw notAnArchiveError(path, undefined);
  const bytes = [path, `${path}-wal`].reduce((sum, part) => sum + (statSync(part, { throwIfNoEntry: false })?.size ?? 0), 0);
  const { bavail, bsize } = guarded(folder, () => statfsSync(folder));
  if (2 * bytes + SPARE_BYTES <= bavail * bsize) return;
  throw new StaunchError({
    code: "archive-full",
    message: `${path} is to be copied before it is read, and the disk that holds ${folder} has no room for it.`,
    hint: "Free some space there, or ask for a handover of the records instead.",
    exit: EXIT.storage,
  });
}

/** A copy of an archive and its log in a folder of its own beside `beside`, with the log played into it; `remove` takes it away. */
export function copyOf(path: string, beside: string): { path: string; remove: () => void } {
  const parent = dirname(resolve(beside));
  refuseCopy(path, parent);
  const folder = guarded(beside, () => mkdtempSync(join(parent, ".staunch-reading-")));
  const remove = (): void => {
    try {
      rmSync(folder, { recursive: true, force: true });
    } catch {
      // Windows keeps a file that is open.
    }
  };
  const copy = join(folder, "copy");
  try {
    copyWhole(path, copy);
    const db = new Database(copy, { timeout: 0 });
    try {
      harden(db);
      db.pragma("journal_mode = DELETE");
    } finally {
      db.close();
    }
    return { path: copy, remove };
  } catch (error) {
    remove();
    throw archiveError(error, path);
  }
}

/** File and log as they were at one moment: somebody may be writing them. */
function copyWhole(path: string, copy: string): void {
  for (let n = 0; n < COPY_TRIES; n++) {
    const before = lookOf(path);
    copyFileSync(path, copy);
    if (hasLog(path)) copyFileSync(`${path}-wal`, `${copy}-wal`);
    if (lookOf(path) === before) return;
    rmSync(`${copy}-wal`, { force: true });
  }
  throw beingWritten(path);
}
