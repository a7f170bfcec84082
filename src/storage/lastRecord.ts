import type { Archive } from "./open.ts";
import { knowsSeals } from "./sealedJournal.ts";

/** Sealed in this archive's own chain, or not ended: merge takes none of either in. */
const OWN = `(not exists (select 1 from ends e where e.record = r.number)
  or exists (select 1 from seals s where s.subject = r.id and s.kind = 'record' and s.chain = ?))`;

/**
 * Id of the record started last. Those tested here are ordered by their numbers, for this machine's clock may have been set back; one taken in
 * from elsewhere only by its clock. To be called guarded.
 */
export function lastRecord(archive: Archive): string | undefined {
  const { db, id: chain } = archive;
  const latest = "select r.number, r.id from records r order by r.started_wall_ms desc, r.number desc limit 1";
  const found = db.prepare<[], { number: number; id: string }>(latest).get();
  if (found === undefined || !knowsSeals(archive)) return found?.id;
  const isOwn = db.prepare<[number, string], number>(`select 1 from records r where r.number = ? and ${OWN}`).pluck();
  if (isOwn.get(found.number, chain) === undefined) return found.id;
  const later = db.prepare<[number, string], string>(
    `select r.id from records r where r.number > ? and ${OWN} order by r.number desc limit 1`,
  );
  return later.pluck().get(found.number, chain) ?? found.id;
}
