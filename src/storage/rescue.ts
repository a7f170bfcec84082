import { existsSync, realpathSync } from "node:fs";
import { resolve } from "node:path";
import { dataError, type StaunchError, usageError } from "../core/errors.ts";
import { plainText } from "../core/text.ts";
import { type ChainFinding, chainFindings, type SealedEntry } from "../evidence/chain.ts";
import { fingerprintOf } from "../evidence/seal.ts";
import { beingWritten, lookOf } from "./fileLook.ts";
import type { Taking } from "./mergeTake.ts";
import { makeArchive } from "./newArchive.ts";
import { openArchive } from "./open.ts";
import { openDamaged } from "./rescueBytes.ts";
import { type RescuedGauges, rescueGauges } from "./rescueGauges.ts";
import { pagesOf } from "./rescuePages.ts";
import { listedIn } from "./rescueRecords.ts";
import { scan } from "./rescueScan.ts";
import { sealsIn } from "./rescueSeals.ts";
import { type Everything, type RescuedBeside, type RescuedRecord, RescueTaker } from "./rescueTake.ts";
import { standings } from "./standings.ts";
import { notAnArchiveError } from "./trouble.ts";

/** What came out of a damaged archive. */
export interface Rescued extends RescuedGauges {
  /** Id of the damaged archive; `null`: it is lost. */
  from: string | null;
  /** Version of the damaged archive as it says itself; `null`: that cannot be read. */
  version: number | null;
  /** Id of the new one; the chains in it keep those of the archives that sealed. */
  id: string;
  pages: { size: number; present: number; unreadable: number; missing: number; spoilt_rows: number; spoilt_frames: number };
  /** By number. */
  records: RescuedRecord[];
  besides: RescuedBeside[];
  /** Fingerprints of the keys that sealed what came over, and how many entries. */
  keys: Record<string, number>;
  /** Numbers of chains that are not here. */
  gaps: Extract<ChainFinding, { kind: "not-included" }>[];
}

export interface Rescuing extends Taking {
  /** Public keys that are known besides those in the archive. */
  keys: readonly Uint8Array[];
}

/**
 * Reads all that can be read of a damaged archive, page by page and without SQLite, and makes a new one at `output` of what proves itself or at least
 * makes sense. The damaged file and its log are only read. The new archive has an id and a chain of its own: to write on in the old chain, of which a
 * tail may be lost, would fork it. StaunchErrors: `archive-missing`, `not-an-archive`, `nothing-readable`, `archive-too-large` (65), those of `makeArchive`.
 */
export function rescue(path: string, output: string, rescuing: Rescuing): Rescued {
  const full = resolve(path);
  checkOutput(full, resolve(output));
  const files = openDamaged(full);
  try {
    const before = lookOf(full);
    const all = everythingIn(full, files, rescuing.keys);
    const done = makeArchive(output, { not: [full], force: false }, (into) => {
      const taker = new RescueTaker(into, all, rescuing);
      const taken = { id: into.id, records: taker.records(), besides: taker.besides(), ...rescueGauges(all.scan, into) };
      if (lookOf(full) !== before) throw beingWritten(full);
      if (!all.isSound && isNothing(taken)) throw nothingReadable(full, taken.records);
      return taken;
    });
    const { size, present, version, spoiltFrames } = all.pages;
    const { unreadable, missing, spoiltRows } = all.scan;
    const pages = { size, present, unreadable, missing, spoilt_rows: spoiltRows, spoilt_frames: spoiltFrames };
    return { from: all.listed.archive, version, pages, ...done, ...proven(output, done.records) };
  } finally {
    files.main.close();
    files.log.close();
  }
}

/** A file of one of these names beside an archive is taken for part of it. */
function checkOutput(path: string, output: string): void {
  if (existsSync(output) && output !== path && !(existsSync(path) && realpathSync(output) === realpathSync(path)))
    throw usageError("file-exists", `${output} is there already and is never replaced.`, "Name another file after -o.");
  if (["-wal", "-shm", "-journal", ".lock"].some((end) => output === path + end))
    throw usageError("same-file", `${output} is part of the archive that is read.`, "Name another file after -o.");
  const left = ["-wal", "-journal"].map((end) => output + end).find((file) => existsSync(file));
  if (left !== undefined && !existsSync(output))
    throw usageError("file-exists", `${left} is there already and would be taken for part of the new archive.`, "Name another file.");
}

function everythingIn(path: string, { main, log }: ReturnType<typeof openDamaged>, keys: readonly Uint8Array[]): Everything {
  const pages = pagesOf(path, main, log);
  const found = scan(pages);
  const isSound = pages.version !== null && found.unreadable + found.missing + found.spoiltRows + pages.spoiltFrames === 0;
  const listed = listedIn(found);
  const seals = sealsIn(found, keys);
  const known = listed.found.size + listed.told.size + seals.found.length + found.rows.sealed.length + found.rows.gauges.length;
  if (known === 0 && pages.version === null && listed.archive === null) throw notAnArchiveError(path, undefined);
  return { pages, scan: found, listed, seals, isSound };
}

const isNothing = ({ records, besides, gauges }: Pick<Rescued, "records" | "besides" | "gauges">): boolean =>
  gauges.length === 0 && [...records, ...besides].every(({ taken }) => !taken);

function nothingReadable(path: string, records: readonly RescuedRecord[]): StaunchError {
  const named = records.slice(0, 5).map(({ record, what }) => `${plainText(record, 40)} (${plainText(what ?? "", 100)})`);
  const names = named.length === 0 ? "" : ` It still names: ${named.join(", ")}${records.length > 5 ? ", …" : ""}.`;
  const left = records.some(({ word }) => word === "altered") ? " With --take-altered what is left of them is taken, marked." : "";
  return dataError(
    "nothing-readable",
    `Nothing of ${path} can be read whole any more.${names}`,
    `Fetch the last good copy or handover of these records.${left}`,
  );
}

/** What is said of seals is read from the file that was made. */
function proven(output: string, records: RescuedRecord[]): Pick<Rescued, "keys" | "gaps" | "records"> {
  const made = openArchive(output, { mode: "read" });
  const keys: Record<string, number> = {};
  const chain: SealedEntry[] = [];
  const altered = new Map<string, string>();
  try {
    for (const { kind, subject, standing, found } of standings(made, new Set())) {
      if (standing.standing === "altered" && kind === "record") altered.set(subject, standing.what);
      if (found === null) continue;
      chain.push(found.sealed);
      const key = fingerprintOf(found.sealed.publicDer);
      keys[key] = (keys[key] ?? 0) + 1;
    }
  } finally {
    made.close();
  }
  const gaps = chainFindings(chain).filter((one) => one.kind === "not-included");
  const told = records.map((one): RescuedRecord => {
    const what = altered.get(one.record);
    return what === undefined || one.word !== "sealed" ? one : { ...one, word: "altered", what };
  });
  return { keys, gaps, records: told };
}

/** Nothing is known to be lost or altered. A tail cut off without a trace cannot be known. */
export function isAllHere({ from, records, besides, strays, gaps, pages }: Rescued): boolean {
  const { unreadable, missing, spoilt_rows, spoilt_frames } = pages;
  const isWhole = unreadable + missing + spoilt_rows + spoilt_frames + strays === 0;
  const own = gaps.filter(({ chain }) => from === null || chain === from);
  return (
    isWhole &&
    own.length === 0 &&
    records.every(({ what, word }) => what === null && word !== "lost") &&
    besides.every(({ what }) => what === null)
  );
}
