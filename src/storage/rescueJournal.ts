import { counted } from "../core/text.ts";
import { eventFrom, type JournalRow } from "./journal.ts";
import type { ListedRow } from "./listedRow.ts";
import type { Value } from "./rescueFormat.ts";
import type { Listed } from "./rescueRecords.ts";

/** What is left of an open journal: the rows up to the first that is missing or makes no sense. */
export interface OpenJournal {
  rows: JournalRow[];
  /** Rows behind that gap. */
  behind: number;
  /** Its last event is the end of the test. */
  isEnded: boolean;
}

/** What is left of a record without a seal. */
export interface Unsealed {
  word: "unsealed" | "unfinished" | "lost";
  journal: OpenJournal;
  /** Why it is lost, or where it breaks off; `null`: nothing is known to be missing. */
  what: string | null;
}

/** Out of the rows that were found, by their seq. */
export function openJournal(found: ReadonlyMap<number, Value[]> | undefined): OpenJournal {
  const rows: JournalRow[] = [];
  let isEnded = false;
  for (let seq = 0; ; seq++) {
    const row = openRow(found?.get(seq));
    const event = row === null ? null : eventFrom(row);
    if (row === null || event === null) break;
    rows.push(row);
    isEnded = event.kind === "end";
  }
  return { rows, behind: (found?.size ?? 0) - rows.length, isEnded };
}

function openRow(values: readonly Value[] | undefined): JournalRow | null {
  const [, seq, at_ms, wall_ms, kind, body] = values ?? [];
  if (typeof seq !== "number" || typeof at_ms !== "number" || typeof wall_ms !== "number" || typeof kind !== "string") return null;
  return typeof body === "number" || body === undefined ? null : { seq, at_ms, wall_ms, kind, body };
}

export interface Known {
  listed: ListedRow;
  /** Out of its open rows, or of the blocks it was sealed in. */
  journal: OpenJournal;
  /** An index says that it was sealed, which is gone. */
  wasSealed: boolean;
  /** The whole file makes sense: what is not there never was. */
  isSound: boolean;
}

/**
 * A record without a seal is taken when nothing is known to be missing, or when it is unfinished, up to where it breaks off. One whose verdict or
 * journal is gone is lost: to take it for an unfinished one would have the next test close it as what it was not.
 */
export function unsealedOf(
  { listed, journal, wasSealed, isSound }: Known,
  { ended, attempts }: Pick<Listed, "ended" | "attempts">,
): Unsealed {
  const { behind, isEnded } = journal;
  const events = counted(journal.rows.length, "event");
  const lost = (what: string): Unsealed => ({ word: "lost", journal, what });
  const isWhole = isEnded && behind === 0;
  if (wasSealed && !isWhole)
    return lost(`it was sealed, and the seal is lost${journal.rows.length === 0 ? "" : `; of its journal ${events} are left`}`);
  if (wasSealed && listed.verdict !== null)
    return { word: "unsealed", journal, what: "its seal is lost; its journal is whole, but nothing shows whether it was altered" };
  if (listed.verdict !== null) {
    if (isWhole || isSound) return { word: "unsealed", journal, what: null };
    return lost(
      journal.rows.length === 0 ? "its journal is lost" : `its journal breaks off after ${events}, its verdict was given on all of it`,
    );
  }
  const gone = wasSealed ? "its seal and its verdict are" : "its verdict is";
  const again = `${gone} lost; its journal is whole, and the next test in the new archive judges it again`;
  if (isWhole) return { word: "unfinished", journal, what: wasSealed || ended.has(listed.number) ? again : null };
  if (ended.has(listed.number)) return lost("its verdict is lost, and its journal is not whole");
  if (journal.rows.length === 0 && behind > 0) return lost("the beginning of its journal is lost");
  if (journal.rows.length === 0 && !isSound && !attempts.has(listed.number)) return lost("its journal is lost");
  const gap = `its journal breaks off after ${events}; ${behind} behind the gap ${behind === 1 ? "was" : "were"} left out`;
  return { word: "unfinished", journal, what: behind > 0 ? gap : null };
}
