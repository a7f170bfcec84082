import { headStanding, type SealedEntry, type Standing, standingOf } from "../evidence/chain.ts";
import { fingerprintOf } from "../evidence/seal.ts";
import { markOf } from "./marks.ts";
import type { Archive } from "./open.ts";
import { bareRecords, besideHead } from "./recordCopies.ts";
import { type FoundEntry, sealedEntries } from "./sealedEntries.ts";
import type { EntryKind, SealedHead } from "./sealHead.ts";
import { endReading } from "./trouble.ts";

/** One sealed entry, or a record without one, after it was looked at. */
export interface Looked {
  kind: EntryKind;
  /** Id of the record it is about. */
  subject: string;
  standing: Standing | { standing: "unsealed"; ended: boolean; mark: string | null };
  /** Number of the entry inside this archive, what it says and how it stands in its chain; `null`: unsealed. */
  found: { entry: number; head: SealedHead | null; sealed: SealedEntry } | null;
}

/**
 * Looks at every sealed entry (or those about one record), then at the records that have none; all as it was at one moment. `trusted` are
 * fingerprints of keys. Bytes are let go as soon as they were hashed: `sealed` comes back without blocks and head.
 */
export function* standings(archive: Archive, trusted: ReadonlySet<string>, subject: string | null = null): Generator<Looked> {
  const { db } = archive;
  // By what heads say: the column beside one may bear another's id.
  const sealed = new Set<string>();
  db.exec("begin");
  try {
    for (const found of sealedEntries(archive, subject)) {
      const { entry, head, kind } = found;
      if (kind === "record") sealed.add(found.subject);
      const bare = { ...found.sealed, blocks: [], head: new Uint8Array(0) };
      const standing = lookAt(archive, found, standingOf(found.sealed, trusted));
      yield { kind, subject: found.subject, standing, found: { entry, head, sealed: bare } };
    }
    for (const { id, ended, fault } of bareRecords(archive, subject, sealed)) {
      const standing = fault === null ? ({ standing: "unsealed", ended, mark: markOf(archive, id) } as const) : altered(fault);
      yield { kind: "record", subject: id, standing, found: null };
    }
  } finally {
    endReading(archive);
  }
}

const altered = (what: string): Standing => ({ standing: "altered", what, block: null });

/** How a record stands against its own seal, by whatever key it was sealed. */
export type RecordStanding = { standing: "sealed" | "unsealed" } | { standing: "altered"; what: string };

/**
 * Looks at one record alone: its seal, its rows in the lists and, with `bodies`, every byte of its journal. It sees neither a chain nor whose the
 * key is. May be called inside a transaction.
 */
export function recordStanding(archive: Archive, id: string, bodies = true): RecordStanding {
  let isSealed = false;
  for (const found of sealedEntries(archive, id, bodies)) {
    if (found.kind !== "record") continue;
    const looked = lookAt(archive, found, (bodies ? standingOf : headStanding)(found.sealed, null));
    if (looked.standing === "altered") return { standing: "altered", what: looked.what };
    isSealed = true;
  }
  if (isSealed) return { standing: "sealed" };
  const fault = [...bareRecords(archive, id, new Set())][0]?.fault ?? null;
  return fault === null ? { standing: "unsealed" } : { standing: "altered", what: fault };
}

function lookAt(archive: Archive, { sealed, head, copies }: FoundEntry, standing: Standing): Standing {
  if (standing.standing === "altered") return standing;
  const differs = [...copies, ...(head === null ? [] : withinHead(sealed, head)), ...(head === null ? [] : besideHead(archive, head))];
  const [first] = differs;
  return first === undefined ? standing : { standing: "altered", what: first, block: null };
}

/** What the head says of its own key and blocks. */
function withinHead(sealed: SealedEntry, head: SealedHead): string[] {
  const found: string[] = [];
  if (head.key !== fingerprintOf(sealed.publicDer)) found.push("it was signed with another key than it says");
  const bad = head.blocks.findIndex(({ sha256 }, i) => Buffer.from(sealed.blocks[i]?.hash ?? []).toString("hex") !== sha256);
  if (bad >= 0) found.push(`block ${bad + 1} of the journal is not the one its head names`);
  return found;
}
