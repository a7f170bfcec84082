import { closeSync, existsSync, fstatSync, mkdirSync, openSync, readFileSync, readSync, statSync } from "node:fs";
import { dirname } from "node:path";
import Database from "better-sqlite3";
import { EXIT, StaunchError } from "../core/errors.ts";
import { archiveError, notAnArchiveError, sqliteCode } from "./trouble.ts";

/** How long opening waits for a neighbour that is just creating or recovering the same file, ms. */
const OPENING_WAIT_MS = 1000;

/** Beyond this an archive is not read into memory as a whole. */
const LARGEST_IN_MEMORY = 1 << 30;

export interface Connecting {
  /** `write` creates the file and its folder when missing. */
  mode: "write" | "read";
  /** Longest wait for another program's lock while opening, ms. Afterwards nothing ever waits. */
  wait_ms?: number;
}

/** `mode` is the last folder's. Level by level: Node's own recursive way never returns where a file system answers "no such file" to a new folder. */
export function makeFolder(folder: string, mode = 0o777): void {
  if (existsSync(folder)) return;
  makeFolder(dirname(folder));
  try {
    mkdirSync(folder, { mode });
  } catch (error) {
    // A neighbour may have made it in the meantime.
    if (!existsSync(folder)) throw error;
  }
}

/** A connection to one SQLite file. Every failure is a StaunchError; nothing is read yet. */
export function connect(path: string, { mode, wait_ms = OPENING_WAIT_MS }: Connecting): Database.Database {
  loadAddon();
  try {
    refuseWayOut(path);
    if (mode === "write") {
      makeFolder(dirname(path));
      // Made by hand first: the file system's own refusal says more than SQLite's "cannot open".
      if (!existsSync(path)) closeSync(openSync(path, "a"));
    }
    return new Database(path, {
      readonly: mode === "read",
      fileMustExist: mode === "read",
      timeout: wait_ms,
    });
  } catch (error) {
    throw archiveError(error, path);
  }
}

/**
 * A pipe is never opened: it may not answer. Nor is a file beside which a rollback journal names another one: SQLite would
 * delete that, wherever it lies, and nothing of ours ever writes such a name.
 */
function refuseWayOut(path: string): void {
  for (const end of ["", "-journal", "-wal", "-shm"]) {
    const found = statSync(path + end, { throwIfNoEntry: false });
    if (found?.isFIFO()) throw notAnArchiveError(path + end, undefined);
  }
  if (namesAnother(`${path}-journal`))
    throw new StaunchError({
      code: "archive-unclosed",
      message: `Beside ${path} lies a rollback journal that names another file, such as no Staunch writes.`,
      hint: "Do not open it; ask whoever gave it to you for the records again.",
      exit: EXIT.storage,
    });
}

/** SQLite's file format, 3: a journal that names a super-journal ends with these bytes. */
const JOURNAL_MAGIC = "d9d505f920a163d7";

function namesAnother(journal: string): boolean {
  if (!existsSync(journal) || !statSync(journal).isFile()) return false;
  const file = openSync(journal, "r");
  try {
    const tail = Buffer.alloc(8);
    const { size } = fstatSync(file);
    return size > 512 && readSync(file, tail, 0, 8, size - 8) === 8 && tail.toString("hex") === JOURNAL_MAGIC;
  } finally {
    closeSync(file);
  }
}

/** The addon is loaded by the first connection, so a missing build shows only here; `open` is there for tests. */
export function loadAddon(open: () => { close(): unknown } = () => new Database(":memory:")): void {
  try {
    open().close();
  } catch (error) {
    if (sqliteCode(error) !== null) throw error;
    throw new StaunchError({
      code: "addon-not-loaded",
      message: "The storage addon (better-sqlite3) would not load, so no archive can be opened.",
      hint: "Install again with build scripts allowed (`npm rebuild better-sqlite3`; it needs python3, make and a C++ compiler).",
      exit: EXIT.defect,
      cause: error,
    });
  }
}

/**
 * An archive on media that cannot be written: SQLite wants side files beside a WAL database even to read it, so the file is
 * taken into memory instead. A write-ahead log that still holds data cannot be applied this way and is refused.
 */
export function connectInMemory(path: string): Database.Database {
  if (hasLog(path))
    throw new StaunchError({
      code: "archive-read-only",
      message: `${path} was not closed cleanly and lies where nothing can be written, so its last entries cannot be read in.`,
      hint: "Copy the archive together with its -wal file to a folder you can write to, and open it there.",
      exit: EXIT.storage,
    });
  try {
    if (statSync(path).size > LARGEST_IN_MEMORY)
      throw new StaunchError({
        code: "archive-read-only",
        message: `${path} lies where nothing can be written and is too large to be read into memory.`,
        hint: "Copy it to a folder you can write to, and open it there.",
        exit: EXIT.storage,
      });
    const bytes = readFileSync(path);
    // File format §1.3: bytes 18 and 19 say WAL (2) or rollback journal (1); in memory there is no log to be had.
    bytes.fill(1, 18, 20);
    return new Database(bytes, { readonly: true });
  } catch (error) {
    throw archiveError(error, path);
  }
}

/** True when a write-ahead log with something in it lies beside the file. */
export function hasLog(path: string): boolean {
  const log = `${path}-wal`;
  return existsSync(log) && statSync(log).size > 0;
}
