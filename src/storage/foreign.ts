import { existsSync, statSync } from "node:fs";
import { resolve } from "node:path";
import Database from "better-sqlite3";
import { dataError, EXIT, StaunchError } from "../core/errors.ts";
import { check, harden } from "./check.ts";
import { copyOf, isWriteAhead } from "./foreignCopy.ts";
import { limitFault } from "./foreignLimits.ts";
import { shapeFault } from "./foreignShape.ts";
import { APPLICATION_ID, applicationOf, MIGRATIONS, versionOf } from "./migrate.ts";
import type { Archive } from "./open.ts";
import { loadAddon } from "./sqlite.ts";
import { archiveError, damagedError, guarded, notAnArchiveError } from "./trouble.ts";

const LARGEST_FILE = 16 * 2 ** 30;

/**
 * An archive from elsewhere, hostile until proven: it is read and never written, nothing is left beside it, and it is opened only when it is
 * declared exactly as an archive is, whole by SQLite's own check, and within limits. `beside`: a file in whose folder copies may be made.
 * StaunchErrors (65): `not-an-archive`, `archive-newer`, `archive-damaged`, `archive-missing`, `handover-refused`; 74: `archive-unclosed`.
 */
export function openForeign(path: string, beside: string): Archive {
  const full = resolve(path);
  refuseFile(full);
  // A write-ahead archive cannot be read without side files. A copy can.
  const copied = isWriteAhead(full) ? copyOf(full, beside) : null;
  try {
    const db = connect(copied?.path ?? full, full);
    try {
      // Open but without a name, so that a program that is killed leaves nothing behind; where that cannot be, closing removes it.
      if (copied !== null) guarded(full, () => db.pragma("schema_version"));
      copied?.remove();
      return foreign(
        full,
        db,
        guarded(full, () => proven(db, full)),
        copied?.remove,
      );
    } catch (error) {
      db.close();
      throw error;
    }
  } catch (error) {
    copied?.remove();
    throw archiveError(error, full);
  }
}

function foreign(path: string, db: Database.Database, id: string, remove: (() => void) | undefined): Archive {
  return {
    path,
    mode: "read",
    db,
    id,
    beforeClose: () => undefined,
    settle: () => undefined,
    close: () => {
      db.close();
      remove?.();
    },
  };
}

const refused = (path: string, what: string): StaunchError =>
  dataError(
    "handover-refused",
    `${path} is refused: ${what}.`,
    "Nothing of it was taken. Ask whoever gave it to you to hand the records over again.",
  );

function refuseFile(path: string): void {
  if (!existsSync(path)) throw dataError("archive-missing", `There is no archive at ${path}.`, "Check the path.");
  const found = statSync(path);
  if (!found.isFile()) throw notAnArchiveError(path, undefined);
  if (found.size > LARGEST_FILE) throw refused(path, "it is larger than 16 GiB");
  // Such a journal may name another file, which SQLite would then delete: a way out of the file, so it is never played back.
  const journal = `${path}-journal`;
  const beside = statSync(journal, { throwIfNoEntry: false });
  if (beside === undefined || (beside.isFile() && beside.size === 0)) return;
  throw new StaunchError({
    code: "archive-unclosed",
    message: `${path} was not closed cleanly: a rollback journal lies beside it.`,
    hint: "Open it once on the machine that wrote it, or take what can be read with: staunch records rescue FILE -o NEW",
    exit: EXIT.storage,
  });
}

function connect(path: string, named: string): Database.Database {
  loadAddon();
  return guarded(named, () => new Database(path, { readonly: true, fileMustExist: true, timeout: 1000 }));
}

/** The id of an archive that stands every check. */
function proven(db: Database.Database, path: string): string {
  harden(db);
  db.pragma("mmap_size = 0");
  db.pragma("query_only = ON");
  const version = versionOf(db);
  const isOurs = applicationOf(db) === APPLICATION_ID && version >= 1 && version <= MIGRATIONS.length;
  const shape = isOurs ? shapeFault(db, version) : null;
  if (shape !== null) throw refused(path, shape);
  check(db, path, "read");
  const sound = db.pragma("integrity_check(1)", { simple: true });
  if (sound !== "ok") throw damagedError(path, new Error(String(sound)));
  if (db.prepare("select 1 from pragma_foreign_key_check limit 1").get() !== undefined) throw refused(path, "rows of it belong to none");
  const tables = new Set(db.prepare<[], string>("select name from sqlite_schema where type = 'table'").pluck().all());
  const limit = limitFault(db, tables);
  if (limit !== null) throw refused(path, limit);
  const id = db.prepare<[], string>("select id from archive").pluck().get();
  if (id === undefined || !/^[0-9a-f]{32}$/.test(id)) throw refused(path, "it has no id");
  return id;
}
