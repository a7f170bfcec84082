import { versionOf } from "./migrate.ts";
import tables from "./migrations/0004-review.ts";
import type { Archive } from "./open.ts";
import { guarded } from "./trouble.ts";

/** An archive opened for reading only may be older than the tables of reviews. */
export const keepsReviews = ({ db }: Archive): boolean => versionOf(db) >= 4;

/** Tables of the same names that live and die with this connection: SQLite finds them before the archive's own. */
const TEMPORARY = tables.replaceAll("create table", "create temp table").replaceAll(/ references \w+ \(\w+\)/g, "");

/**
 * Makes an archive that may not be written ready for lists all the same: what it keeps is copied beside it, in memory, and brought up to date
 * there. Nothing is done to one that may be written, nor a second time.
 */
export function readyForReview(archive: Archive): void {
  const { db, mode, path } = archive;
  if (mode === "write") return;
  guarded(path, () => {
    const isReady = db.prepare("select 1 from sqlite_temp_schema where name = 'review_lines'").get() !== undefined;
    if (isReady) return;
    db.pragma("temp_store = MEMORY");
    db.exec(TEMPORARY);
    if (!keepsReviews(archive)) return;
    db.exec("insert into temp.review_lines select * from main.review_lines");
    db.exec("update temp.review_mark set entry = (select entry from main.review_mark)");
  });
}
