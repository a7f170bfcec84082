import { statSync } from "node:fs";
import { gaugeRows, writeGauges } from "./gaugeRows.ts";
import { gaugeKey } from "./gauges.ts";
import { makeArchive } from "./newArchive.ts";
import { type Archive, openArchive } from "./open.ts";
import { startOf } from "./recordRows.ts";
import { standings } from "./standings.ts";
import { subjectReader, subjectWriter } from "./subjectRows.ts";
import { endReading, guarded } from "./trouble.ts";

export interface Handover {
  /** Id of the new archive; the chains in it keep those of the archives that sealed. */
  id: string;
  records: number;
  /** Reviews and second signatures. */
  besides: number;
  /** Ids of records that carry no seal; `open`: nor any end. */
  unsealed: { id: string; open: boolean }[];
  /** What is not as it was sealed; handed over as it lies. */
  altered: { id: string; what: string }[];
  bytes: number;
}

/**
 * Cuts records out into an archive of their own: their rows, every sealed entry about them, and what is on file of their gauges. Nothing derived
 * goes along. What is said of seals was read from the file that was made.
 */
export function handOver(archive: Archive, ids: readonly string[], path: string, force: boolean): Handover {
  const made = makeArchive(path, { not: [archive.path], force }, (into) => guarded(archive.path, () => copyRecords(archive, into, ids)));
  return { ...made, bytes: statSync(path).size, ...standingIn(path) };
}

function copyRecords(from: Archive, into: Archive, ids: readonly string[]): Pick<Handover, "id" | "records" | "besides"> {
  const write = subjectWriter(into.db);
  const gauges = new Set<string>();
  let besides = 0;
  // All as it was at one moment: a test may be running in the archive.
  from.db.exec("begin");
  try {
    const read = subjectReader(from);
    for (const id of ids) {
      const { listed, journal, entries } = read(id);
      if (listed === null) continue;
      write.journal(write.listed(listed), journal);
      for (const entry of entries) write.entry(entry);
      besides += entries.filter(({ kind }) => kind !== "record").length;
      const name = startOf(listed.start, id)?.gauge.name;
      if (name !== undefined) gauges.add(gaugeKey(name));
    }
    const wanted = new Set(ids);
    writeGauges(
      into,
      gaugeRows(from, gauges, (record) => wanted.has(record)),
    );
  } finally {
    endReading(from);
  }
  return { id: into.id, records: ids.length, besides };
}

function standingIn(path: string): Pick<Handover, "unsealed" | "altered"> {
  const made = openArchive(path, { mode: "read" });
  const unsealed: Handover["unsealed"] = [];
  const altered: Handover["altered"] = [];
  try {
    for (const { subject, standing } of standings(made, new Set())) {
      if (standing.standing === "unsealed") unsealed.push({ id: subject, open: !standing.ended });
      if (standing.standing === "altered") altered.push({ id: subject, what: standing.what });
    }
  } finally {
    made.close();
  }
  return { unsealed, altered };
}
