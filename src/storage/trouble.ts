import Database from "better-sqlite3";
import { dataError, EXIT, StaunchError } from "../core/errors.ts";

/** SQLite's own (extended) error code, e.g. `SQLITE_BUSY_SNAPSHOT`; `null` for anything else. */
export const sqliteCode = (error: unknown): string | null => (error instanceof Database.SqliteError ? error.code : null);

/** Somebody else holds the lock right now; trying again later is the cure. */
export function isBusy(error: unknown): boolean {
  const code = sqliteCode(error);
  return code !== null && /^SQLITE_(BUSY|LOCKED)/.test(code);
}

/** Reading a WAL database failed because its side files could not be made: the media or folder is read-only. */
export function isUnwritableMedia(error: unknown): boolean {
  const code = sqliteCode(error);
  return code !== null && /^SQLITE_(READONLY|CANTOPEN)/.test(code);
}

type Say = (path: string, cause: unknown) => StaunchError;

const storageError =
  (code: string, sentence: (path: string) => string, hint: string): Say =>
  (path, cause) =>
    new StaunchError({
      code,
      message: sentence(path),
      hint,
      exit: EXIT.storage,
      cause,
    });

const locked = storageError(
  "archive-locked",
  (path) => `Another program holds ${path} locked.`,
  "Close the other program (a database viewer, a backup, a file sync) and try again.",
);
const readOnly = storageError(
  "archive-read-only",
  (path) => `${path} cannot be written: the file or its folder is read-only.`,
  "Give yourself write permission, or choose another place with --archive FILE.",
);
const full = storageError(
  "archive-full",
  (path) => `The disk that holds ${path} is full.`,
  "Free some space on that disk; what is still in memory is written as soon as there is room.",
);
const cannotOpen = storageError(
  "archive-cannot-open",
  (path) => `${path} cannot be opened.`,
  "Check that the path is a file in a folder you may enter, or choose another place with --archive FILE.",
);
const failed = storageError(
  "archive-io-failed",
  (path) => `The disk that holds ${path} gave an error.`,
  "Check the disk or card and its cable; keep a copy of the archive before going on.",
);
/** A file that is none of ours (65). */
export const notAnArchiveError: Say = (path, cause) =>
  dataError(
    "not-an-archive",
    `${path} is not a Staunch archive.`,
    "Choose the right file with --archive FILE; this one has been left alone. If it was an archive once: staunch records rescue FILE -o NEW",
    cause,
  );
/** An archive of which something is gone or makes no sense (65). */
export const damagedError: Say = (path, cause) =>
  dataError(
    "archive-damaged",
    `${path} is damaged: part of it is missing or makes no sense.`,
    "Make a new archive of what can be read: staunch records rescue FILE -o NEW. Then merge the last good copy or handover into it.",
    cause,
  );

/** SQLite's primary code (what stands before the second underscore) or the code of a file operation → what to say. */
const SAYINGS: ReadonlyMap<string, Say> = new Map([
  ["SQLITE_BUSY", locked],
  ["SQLITE_LOCKED", locked],
  ["SQLITE_PROTOCOL", locked],
  ["SQLITE_READONLY", readOnly],
  ["SQLITE_PERM", readOnly],
  ["SQLITE_FULL", full],
  ["SQLITE_IOERR", failed],
  ["SQLITE_CANTOPEN", cannotOpen],
  ["SQLITE_NOTADB", notAnArchiveError],
  ["SQLITE_CORRUPT", damagedError],
  ["EACCES", readOnly],
  ["EPERM", readOnly],
  ["EROFS", readOnly],
  ["ENOSPC", full],
  ["EDQUOT", full],
  ["ENOTDIR", cannotOpen],
  ["EEXIST", cannotOpen],
  ["ENOENT", cannotOpen],
  ["ELOOP", cannotOpen],
  ["ENAMETOOLONG", cannotOpen],
  ["EIO", failed],
]);

const fileCode = (error: unknown): string | null =>
  error instanceof Error && "code" in error && typeof error.code === "string" ? error.code : null;

/** Turns what SQLite or the file system threw into a StaunchError, by its code; anything unknown is handed back as it came. */
export function archiveError(error: unknown, path: string): unknown {
  const code = sqliteCode(error)?.split("_").slice(0, 2).join("_") ?? fileCode(error);
  if (error instanceof StaunchError || code === null) return error;
  // The one error of a file that has no code of its own: its header asks for a newer SQLite, or was scribbled on.
  if (error instanceof Database.SqliteError && error.message === "unsupported file format") return damagedError(path, error);
  return SAYINGS.get(code)?.(path, error) ?? error;
}

/** Runs `action`; what it throws comes out as a StaunchError about this archive. */
export function guarded<T>(path: string, action: () => T): T {
  try {
    return action();
  } catch (error) {
    throw archiveError(error, path);
  }
}

/** Ends a transaction; on a torn page SQLite refuses to end it well. */
export function endReading({ db, path }: { db: Database.Database; path: string }): void {
  try {
    if (db.inTransaction) db.exec("commit");
  } catch (error) {
    if (db.inTransaction) db.exec("rollback");
    throw archiveError(error, path);
  }
}
