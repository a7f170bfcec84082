import { randomBytes } from "node:crypto";
import { existsSync } from "node:fs";
import { resolve } from "node:path";
import type { Database } from "better-sqlite3";
import { EXIT, StaunchError } from "../core/errors.ts";
import { plainText } from "../core/text.ts";
import { connect } from "./sqlite.ts";
import { archiveError, isBusy, sqliteCode } from "./trouble.ts";

/** Who runs a test in an archive. */
export interface LockOwner {
  pid: number;
  host: string;
  since_wall_ms: number;
  record: string;
}

export interface ArchiveLock {
  /** Idempotent. The operating system does the same when the process dies. */
  release(): void;
}

/** A neighbour reading or writing the owner row holds the file for a moment only. */
const NEIGHBOUR_WAIT_MS = 250;
const ATTEMPTS = 5;

/**
 * Claims the archive for one running test. The claim is a write lock that SQLite holds on `<archive>.lock`, a tiny database in
 * rollback mode: the operating system drops it with the process, and while it is held others can still read the last committed
 * owner. The file itself stays; deleting it would let two owners hold two files of one name.
 * Throws `archive-in-use` (exit 74) naming the first owner.
 */
export function lockArchive(archivePath: string, owner: LockOwner): ArchiveLock {
  const path = lockPath(archivePath);
  const db = connect(path, { mode: "write", wait_ms: NEIGHBOUR_WAIT_MS });
  try {
    const token = randomBytes(8).toString("hex");
    for (let attempt = 0; attempt < ATTEMPTS; attempt++) {
      if (!begin(db)) throw inUse(archivePath, readOwner(db));
      writeOwner(db, owner, token);
      // Between the commit above and this lock another may slip in; whoever holds it with a foreign name on it lets go and retries.
      if (!begin(db)) continue;
      if (tokenIn(db) === token) return { release: () => release(db) };
      db.exec("rollback");
    }
    throw inUse(archivePath, null);
  } catch (error) {
    db.close();
    throw lockError(error, path);
  }
}

/** Who runs a test in this archive right now; `null` when nobody does. Only looks. */
export function lockHolder(archivePath: string): LockOwner | null {
  const path = lockPath(archivePath);
  if (!existsSync(path)) return null;
  const db = connect(path, { mode: "write", wait_ms: 0 });
  try {
    if (begin(db)) return null;
    return readOwner(db);
  } catch (error) {
    throw lockError(error, path);
  } finally {
    db.close();
  }
}

const lockPath = (archivePath: string): string => `${resolve(archivePath)}.lock`;

function begin(db: Database): boolean {
  try {
    db.exec("begin immediate");
    return true;
  } catch (error) {
    if (isBusy(error)) return false;
    throw error;
  }
}

function writeOwner(db: Database, owner: LockOwner, token: string): void {
  db.exec(
    `create table if not exists owner (one integer primary key check (one = 1), pid integer not null, host text not null,
      since_wall_ms integer not null, record text not null, token text not null) strict`,
  );
  db.prepare("insert or replace into owner values (1, ?, ?, ?, ?, ?)").run(owner.pid, owner.host, owner.since_wall_ms, owner.record, token);
  db.exec("commit");
}

const tokenIn = (db: Database): string | undefined => db.prepare<[], string>("select token from owner").pluck().get();

function readOwner(db: Database): LockOwner | null {
  try {
    return db.prepare<[], LockOwner>("select pid, host, since_wall_ms, record from owner").get() ?? null;
  } catch (error) {
    // The first owner ever is just being written down.
    if (isBusy(error) || sqliteCode(error) === "SQLITE_ERROR") return null;
    throw error;
  }
}

function release(db: Database): void {
  if (!db.open) return;
  db.exec("rollback");
  db.close();
}

function inUse(archivePath: string, owner: LockOwner | null): StaunchError {
  const who =
    owner === null
      ? "another Staunch that has just started"
      : `record ${plainText(owner.record, 40)} (process ${owner.pid} on ${plainText(owner.host, 60)}, since ${new Date(owner.since_wall_ms).toISOString()})`;
  return new StaunchError({
    code: "archive-in-use",
    message: `A test is already running in ${resolve(archivePath)}: ${who}.`,
    hint: "Let it end or stop it first, or keep this test in another archive with --archive FILE.",
    exit: EXIT.storage,
  });
}

function lockError(error: unknown, path: string): unknown {
  const said = archiveError(error, path);
  const code = sqliteCode(error);
  if (code === null || !/^SQLITE_(NOTADB|CORRUPT|ERROR)/.test(code)) return said;
  return new StaunchError({
    code: "lock-broken",
    message: `${path} is not a lock file of ours.`,
    hint: "If no test is running, delete that file (not the archive beside it) and try again.",
    exit: EXIT.storage,
    cause: error,
  });
}
