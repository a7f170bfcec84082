import type { Archive } from "./open.ts";
import { knowsSeals } from "./sealedJournal.ts";
import { guarded } from "./trouble.ts";

/** Where this archive's own chain ends now. */
export interface ChainHead {
  chain: string;
  number: number;
  seal: Uint8Array;
}

/** `null` while nothing is sealed. */
export function chainHead(archive: Archive): ChainHead | null {
  if (!knowsSeals(archive)) return null;
  const sql = "select chain, number, seal from seals where chain = ? order by number desc limit 1";
  return guarded(archive.path, () => archive.db.prepare<[string], ChainHead>(sql).get(archive.id)) ?? null;
}

/** Tests sealed and not sealed that started from one wall time up to another. */
export function countStarted(archive: Archive, from_wall_ms: number, to_wall_ms: number): { sealed: number; unsealed: number } {
  const isSealed = knowsSeals(archive) ? "exists (select 1 from seals s where s.subject = r.id and s.kind = 'record')" : "0";
  const sql = `select count(*) as total, coalesce(sum(${isSealed}), 0) as sealed from records r where r.started_wall_ms >= ? and r.started_wall_ms < ?`;
  const row = guarded(archive.path, () =>
    archive.db.prepare<[number, number], { total: number; sealed: number }>(sql).get(from_wall_ms, to_wall_ms),
  );
  return { sealed: row?.sealed ?? 0, unsealed: (row?.total ?? 0) - (row?.sealed ?? 0) };
}
