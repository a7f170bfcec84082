import { existsSync } from "node:fs";
import { resolve } from "node:path";
import type { Database } from "better-sqlite3";
import { dataError } from "../core/errors.ts";
import { check, harden } from "./check.ts";
import { migrate } from "./migrate.ts";
import { type Connecting, connect, connectInMemory } from "./sqlite.ts";
import { archiveError, damagedError, guarded, isBusy, isUnwritableMedia } from "./trouble.ts";

const SETTLING_WAIT_MS = 1000;

/** An open archive. Only src/storage touches `db`. */
export interface Archive {
  readonly path: string;
  readonly mode: "write" | "read";
  readonly db: Database;
  /** Given at creation, random; 32 hexadecimal digits. */
  readonly id: string;
  /** Runs once at the next `settle` or `close`: writers put down what they still hold. */
  beforeClose(action: () => void): void;
  /** Writers put down what they hold and take no more; waits a second for a foreign lock. */
  settle(): void;
  /** Idempotent. */
  close(): void;
}

/**
 * Opens the archive at `path`. `write` creates it (and its folder) when missing and brings it up to date; `read` changes nothing
 * and also opens files on read-only media, and those of an older version, which lack what came later. Throws a StaunchError:
 * `not-an-archive`, `archive-damaged`, `archive-newer`, `archive-missing` (exit 65), `archive-locked`, `archive-read-only`,
 * `archive-full`, `archive-cannot-open`, `archive-io-failed` (74), `addon-not-loaded` (70).
 */
export function openArchive(path: string, options: Connecting): Archive {
  const full = resolve(path);
  const db = options.mode === "write" ? openForWriting(full, options) : openForReading(full, options);
  // From here on nothing waits: a foreign lock must not stall the stamping of readings.
  db.pragma("busy_timeout = 0");
  const id = guarded(full, () => db.prepare<[], string>("select id from archive").pluck().get());
  if (id === undefined) {
    db.close();
    throw damagedError(full, undefined);
  }
  return new OpenArchive(full, options.mode, db, id);
}

class OpenArchive implements Archive {
  readonly path: string;
  readonly mode: "write" | "read";
  readonly db: Database;
  readonly id: string;
  readonly #last: (() => void)[] = [];

  constructor(path: string, mode: "write" | "read", db: Database, id: string) {
    this.path = path;
    this.mode = mode;
    this.db = db;
    this.id = id;
  }

  beforeClose(action: () => void): void {
    this.#last.push(action);
  }

  settle(): void {
    // Nothing is being stamped any more, so this may wait where a running test may not.
    if (this.#last.length > 0) this.db.pragma(`busy_timeout = ${SETTLING_WAIT_MS}`);
    for (const action of this.#last.splice(0)) action();
    this.db.pragma("busy_timeout = 0");
  }

  close(): void {
    if (!this.db.open) return;
    this.settle();
    this.db.close();
  }
}

function openForWriting(path: string, options: Connecting): Database {
  const db = connect(path, options);
  return settled(db, path, () => {
    check(db, path, "write");
    db.pragma("journal_mode = WAL");
    // FULL, said aloud: this build's default under WAL is NORMAL, which may lose the last commits when the power goes.
    db.pragma("synchronous = FULL");
    // Only macOS knows the difference: there a plain sync leaves the data in the drive's own cache.
    db.pragma("fullfsync = ON");
    db.pragma("foreign_keys = ON");
    harden(db);
    migrate(db);
    probe(db);
  });
}

function openForReading(path: string, options: Connecting): Database {
  if (!existsSync(path))
    throw dataError(
      "archive-missing",
      `There is no archive at ${path}.`,
      "Check the path after --archive; the first test creates an archive.",
    );
  const db = connect(path, options);
  try {
    db.pragma("user_version");
  } catch (error) {
    db.close();
    if (!isUnwritableMedia(error)) throw archiveError(error, path);
    const copy = connectInMemory(path);
    return settled(copy, path, () => checkForReading(copy, path));
  }
  return settled(db, path, () => checkForReading(db, path));
}

function checkForReading(db: Database, path: string): void {
  harden(db);
  check(db, path, "read");
}

/** SQLite quietly falls back to a read-only connection when it may not write; better said now than at the first reading. */
function probe(db: Database): void {
  db.pragma("busy_timeout = 0");
  try {
    db.exec("update archive set id = id where false");
  } catch (error) {
    if (!isBusy(error)) throw error;
  }
}

function settled(db: Database, path: string, action: () => void): Database {
  try {
    action();
    return db;
  } catch (error) {
    db.close();
    throw archiveError(error, path);
  }
}
