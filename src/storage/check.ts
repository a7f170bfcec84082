import { statSync } from "node:fs";
import type { Database } from "better-sqlite3";
import { dataError } from "../core/errors.ts";
import { APPLICATION_ID, applicationOf, expectedShape, MIGRATIONS, shapeOf, versionOf } from "./migrate.ts";
import { hasLog } from "./sqlite.ts";
import { damagedError, notAnArchiveError } from "./trouble.ts";

/** A file from elsewhere may carry triggers, views or torn pages; none of them is trusted. */
export function harden(db: Database): void {
  db.pragma("trusted_schema = OFF");
  db.pragma("cell_size_check = ON");
}

/** Refuses what is not ours before anything is written to it. */
export function check(db: Database, path: string, mode: "write" | "read"): void {
  const application = applicationOf(db);
  const version = versionOf(db);
  const isBlank = application === 0 && version === 0 && shapeOf(db) === "";
  if (isBlank && mode === "write") return;
  if (isBlank || application !== APPLICATION_ID) throw notAnArchiveError(path, undefined);
  if (version > MIGRATIONS.length)
    throw dataError(
      "archive-newer",
      `${path} was written by a newer Staunch (archive version ${version}, this program knows ${MIGRATIONS.length}).`,
      "Install the newer program on this machine; the archive has been left alone.",
    );
  if (version < 1 || shapeOf(db) !== expectedShape(version)) throw notAnArchiveError(path, undefined);
  if (!hasLog(path) && isCutOff(db, path)) throw damagedError(path, undefined);
}

/** A copy that broke off: SQLite itself would read the missing pages as nothing. */
function isCutOff(db: Database, path: string): boolean {
  const pages = Number(db.pragma("page_count", { simple: true }));
  const size = Number(db.pragma("page_size", { simple: true }));
  return statSync(path).size < pages * size;
}
