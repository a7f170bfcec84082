import type { Archive } from "./open.ts";
import { guarded } from "./trouble.ts";

/** Why a record is here although it was not whole, or not what was sealed: in one sentence, told when it was taken. `null`: it has no mark. */
export function markOf({ db, path }: Archive, id: string): string | null {
  return guarded(path, () => {
    // An archive that is only read may be older than the table.
    if (db.prepare("select 1 from sqlite_schema where name = 'taken_altered'").get() === undefined) return null;
    const sql = "select t.what from taken_altered t join records r on r.number = t.record where r.id = ?";
    return db.prepare<[string], string>(sql).pluck().get(id) ?? null;
  });
}
