import { generateKeyPairSync, type KeyObject } from "node:crypto";
import { join } from "node:path";
import type { JournalEvent } from "../../src/core/journal.ts";
import { publicKeyOf } from "../../src/evidence/seal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { packJournal } from "../../src/storage/pack.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { appendEntry } from "../../src/storage/sealing.ts";
import { sampleEnd, sampleStart } from "../support/records.ts";

const READINGS = 60;
const day0_ms = Date.UTC(2026, 0, 1);

/** Crews' archives with small sealed records of their own, every tenth one reviewed; all of it invented. Rows are written bare, to be quick. */
export function makeCrews(folder: string, archives: number, records: number): string[] {
  return Array.from({ length: archives }, (_, crew) => {
    const path = join(folder, `crew-${String(crew).padStart(3, "0")}.staunch`);
    const each = Math.floor(records / archives) + (crew < records % archives ? 1 : 0);
    makeCrew(path, crew, each);
    return path;
  });
}

function makeCrew(path: string, crew: number, records: number): void {
  const { privateKey } = generateKeyPairSync("ed25519");
  const signer = { privateKey, publicDer: publicKeyOf(privateKey) };
  const archive = openArchive(path, { mode: "write" });
  archive.db.transaction(() => {
    for (let i = 0; i < records; i++) putRecord(archive, signer, crew, i);
  })();
  archive.close();
}

function putRecord(
  archive: ReturnType<typeof openArchive>,
  signer: { privateKey: KeyObject; publicDer: Uint8Array },
  crew: number,
  i: number,
): void {
  const started_wall_ms = day0_ms + i * 1_800_000 + crew;
  const start = sampleStart({ id: `c${crew}-${i}`, started_wall_ms, section: { ...sampleStart().section, id: `S${i} of crew ${crew}` } });
  const end = sampleEnd(start);
  insertEnd(archive.db, insertStart(archive.db, start), end);
  const entry = { subject: start.id, sealed_wall_ms: end.ended_wall_ms };
  appendEntry(archive, signer, {
    ...entry,
    kind: "record",
    attempt: i + 1,
    fields: { start, end },
    blocks: packJournal(journal(crew * 7 + i)),
  });
  if (i % 10 !== 0) return;
  const review = { word: "accept", by: "S. Visor", reason: "", wall_ms: end.ended_wall_ms };
  appendEntry(archive, signer, { ...entry, kind: "review", attempt: null, fields: { by: review.by, review }, blocks: [] });
}

const journal = (seed: number): JournalEvent[] =>
  Array.from({ length: READINGS }, (_, seq) => ({
    seq,
    at_ms: seq * 100,
    wall_ms: day0_ms + seq * 100,
    kind: "bytes-in" as const,
    bytes: new TextEncoder().encode(`${(981 - ((seq * 31 + seed * 17) % 97) / 10).toFixed(1)}\r\n`),
  }));
