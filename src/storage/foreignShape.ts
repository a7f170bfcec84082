import Database from "better-sqlite3";
import { plainText } from "../core/text.ts";
import { MIGRATIONS, migrate } from "./migrate.ts";

interface Declared {
  type: string;
  name: string;
  tbl_name: string;
  sql: string | null;
}

/** Everything that is declared, SQLite's own too: by hand a trigger can be given a name that SQLite keeps to itself. */
function declared(db: Database.Database): Map<string, string> {
  const rows = db.prepare<[], Declared>("select type, name, tbl_name, cast(sql as text) as sql from sqlite_schema").all();
  return new Map(rows.map(({ type, name, tbl_name, sql }) => [`${type} ${name}`, `${tbl_name}: ${(sql ?? "").replace(/\s+/g, " ")}`]));
}

/** The first thing in which a database is declared otherwise than an archive of this version, in words; `null`: in nothing. */
export function shapeFault(db: Database.Database, version: number): string | null {
  const fresh = new Database(":memory:");
  try {
    migrate(fresh, MIGRATIONS.slice(0, version));
    const [wanted, found] = [declared(fresh), declared(db)];
    for (const [name, sql] of found) {
      const said = plainText(name, 80);
      if (!wanted.has(name)) return `it holds the ${said}, which no archive has`;
      if (wanted.get(name) !== sql) return `its ${said} is declared otherwise than an archive's`;
    }
    for (const name of wanted.keys()) if (!found.has(name)) return `it lacks the ${name}`;
    // Two of one name fall together in the list.
    const count = db.prepare<[], number>("select count(*) from sqlite_schema").pluck().get();
    return count === wanted.size ? null : "it declares something twice";
  } finally {
    fresh.close();
  }
}
