import { join } from "node:path";
import { foldJournal } from "../../src/commands/foldJournal.ts";
import { type VerifyOptions, verify } from "../../src/commands/verify.ts";
import type { RecordStart } from "../../src/core/record.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { openKey } from "../../src/storage/key.ts";
import { openArchive } from "../../src/storage/open.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { temporaryFolder } from "./archives.ts";
import { testIo } from "./io.ts";
import { bytesIn, sampleStart } from "./records.ts";

export interface Site {
  path: string;
  key: string;
  own: string;
}

/** An archive with sealed records whose verdicts are what their journals give; `at`: more of them in one that is there. */
export async function site(ids: readonly string[], over: Partial<RecordStart> = {}, at?: Site): Promise<Site> {
  const folder = temporaryFolder();
  const { path, key } = at ?? { path: join(folder, "site.staunch"), key: join(folder, "key", "private.pem") };
  const archive = openArchive(path, { mode: "write" });
  for (const id of ids) {
    const start = sampleStart({ id, gauge: { ...sampleStart().gauge, protocol: "line" }, ...over });
    const journal = [
      ...Array.from({ length: 50 }, (_, i) => bytesIn(i, i * 100, "1000.0 Pa\r\n")),
      { seq: 50, at_ms: 5000, wall_ms: start.started_wall_ms + 5000, kind: "end" as const, cause: "user" as const, detail: "" },
    ];
    const writer = createRecord(archive, start, new QueueClock(), { key: openKey(key), onUnsealed: () => undefined });
    for (const event of journal) writer.append(event);
    await writer.end({ ended_wall_ms: start.started_wall_ms + 5000, verdict: foldJournal(start, journal) });
  }
  archive.close();
  return { path, key, own: openKey(key).fingerprint };
}

export async function run({ path, key }: Site, options: Partial<VerifyOptions> = {}, files: Record<string, string> = {}) {
  const io = testIo({ files });
  const exit = await verify.run({ words: [], ...options }, { io, archive: path, key, program: "staunch test" });
  return { exit, out: io.outText.join("\n") };
}
