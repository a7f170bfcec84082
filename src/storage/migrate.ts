import Database from "better-sqlite3";
import records from "./migrations/0001-records.ts";
import gauges from "./migrations/0002-gauges.ts";
import seals from "./migrations/0003-seals.ts";
import review from "./migrations/0004-review.ts";
import taken from "./migrations/0005-taken.ts";

export interface Migration {
  name: string;
  sql: string;
}

/** In order; the place in this list (from 1) is the number kept in `user_version`. A released one is never edited. */
export const MIGRATIONS: readonly Migration[] = [
  { name: "0001-records", sql: records },
  { name: "0002-gauges", sql: gauges },
  { name: "0003-seals", sql: seals },
  { name: "0004-review", sql: review },
  { name: "0005-taken", sql: taken },
];

/** Marks our files among all SQLite files ("STCH"). */
export const APPLICATION_ID = 0x53_54_43_48;

/** Version of the archive's shape, 0 for a new file. */
export const versionOf = (db: Database.Database): number => Number(db.pragma("user_version", { simple: true }));
/** The mark in the header that says whose file it is. */
export const applicationOf = (db: Database.Database): number => Number(db.pragma("application_id", { simple: true }));

/** Brings a database up to the end of `list`, each step in a transaction of its own and remembered by name. */
export function migrate(db: Database.Database, list: readonly Migration[] = MIGRATIONS): void {
  list.forEach((migration, index) => {
    const step = db.transaction(() => {
      // Asked inside the transaction: a neighbour may have migrated since we looked.
      if (versionOf(db) > index) return;
      db.exec(migration.sql);
      db.prepare("insert into migrations values (?, ?, unixepoch() * 1000)").run(index + 1, migration.name);
      db.pragma(`application_id = ${APPLICATION_ID}`);
      db.pragma(`user_version = ${index + 1}`);
    });
    if (versionOf(db) <= index) step.immediate();
  });
}

/** Every table, index, view and trigger as it was declared, blanks aside; SQLite's own are left out. */
export function shapeOf(db: Database.Database): string {
  const rows = db
    .prepare<[], string>(
      "select coalesce(type || ' ' || name || ': ' || cast(sql as text), '?') from sqlite_schema where name not like 'sqlite\\_%' escape '\\'",
    )
    .pluck()
    .all();
  return rows
    .map((row) => row.replace(/\s+/g, " "))
    .sort()
    .join("\n");
}

/** The shape a database of `version` must have. */
export function expectedShape(version: number, list: readonly Migration[] = MIGRATIONS): string {
  const db = new Database(":memory:");
  try {
    migrate(db, list.slice(0, version));
    return shapeOf(db);
  } finally {
    db.close();
  }
}
