import { closeSync, copyFileSync, existsSync, mkdtempSync, openSync, readSync, rmSync, statSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import Database from "better-sqlite3";
import { EXIT, StaunchError } from "../core/errors.ts";
import { harden } from "./check.ts";
import { hasLog } from "./sqlite.ts";
import { archiveError, guarded } from "./trouble.ts";

const COPY_TRIES = 3;

/** File format §1.3: byte 18 says 2 for a write-ahead log. */
export function isWriteAhead(path: string): boolean {
  const head = Buffer.alloc(20);
  return guarded(path, () => {
    const file = openSync(path, "r");
    try {
      readSync(file, head, 0, head.length, 0);
    } finally {
      closeSync(file);
    }
    return head[18] === 2 || head[19] === 2;
  });
}

/** A copy of an archive and its log in a folder of its own beside `beside`, with the log played into it; `remove` takes it away. */
export function copyOf(path: string, beside: string): { path: string; remove: () => void } {
  const folder = guarded(beside, () => mkdtempSync(join(dirname(resolve(beside)), ".staunch-reading-")));
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
  const seen = (): string =>
    ["", "-wal"]
      .map((end) => (existsSync(path + end) ? statSync(path + end) : null))
      .map((s) => `${s?.size} ${s?.mtimeMs}`)
      .join();
  for (let n = 0; n < COPY_TRIES; n++) {
    const before = seen();
    copyFileSync(path, copy);
    if (hasLog(path)) copyFileSync(`${path}-wal`, `${copy}-wal`);
    if (seen() === before) return;
    rmSync(`${copy}-wal`, { force: true });
  }
  throw new StaunchError({
    code: "archive-locked",
    message: `${path} is being written to, so it cannot be read as a whole.`,
    hint: "Wait until the test on it has ended, and try again.",
    exit: EXIT.storage,
  });
}
