import { join } from "node:path";
import type { JournalEvent } from "../../src/core/journal.ts";
import type { RecordStart } from "../../src/core/record.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { type MachineKey, openKey } from "../../src/storage/key.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import type { Sealing } from "../../src/storage/sealRecord.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { temporaryFolder } from "./archives.ts";
import { everyKind, sampleEnd, sampleStart } from "./records.ts";

export interface SealedBench {
  archive: Archive;
  key: MachineKey;
  sealing: Sealing;
  /** Why records stayed unsealed. */
  notes: string[];
}

/** An archive and a key of this test's own. */
export function sealedBench(): SealedBench {
  const folder = temporaryFolder();
  const archive = openArchive(join(folder, "site.staunch"), { mode: "write" });
  const key = openKey(join(folder, "key", "private.pem"));
  const notes: string[] = [];
  return { archive, key, notes, sealing: { key, onUnsealed: (reason) => notes.push(reason) } };
}

/** Writes a record from its start to its sealed end; unsealed without `sealing`. */
export async function sealedRecord(
  { archive, sealing }: { archive: Archive; sealing: Sealing | null },
  id: string,
  events: readonly JournalEvent[] = everyKind(),
  over: Partial<RecordStart> = {},
): Promise<void> {
  const start = sampleStart({ id, ...over });
  const writer = createRecord(archive, start, new QueueClock(), sealing);
  for (const event of events) writer.append(event);
  await writer.end(sampleEnd(start));
}
