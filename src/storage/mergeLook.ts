import type { EntryRow } from "./entryRow.ts";
import { readJournal } from "./journal.ts";
import type { Archive } from "./open.ts";
import { checkClaims, hasTooManyEvents, unpackBlock } from "./pack.ts";
import { contradiction, TOO_DEEP } from "./recordCopies.ts";
import { startOf, verdictOf } from "./recordRows.ts";
import { headOf } from "./sealHead.ts";
import { standings } from "./standings.ts";
import type { SubjectRows } from "./subjectRows.ts";
import { sqliteCode } from "./trouble.ts";

/** Why something is not taken in. `altered` can be overruled by a person, the rest cannot. */
export interface Fault {
  code: "altered" | "makes-no-sense" | "not-ended" | "other-seal" | "own-chain" | "two-seals";
  reason: string;
}

/** What an archive has of one record, and what was found out about it. */
export interface LookedAt {
  rows: SubjectRows;
  /** The record itself; `null`: nothing against it. */
  fault: Fault | null;
  /** Entries about it that are not as they were sealed, by their number there. */
  altered: ReadonlyMap<number, string>;
}

const NO_KEYS: ReadonlySet<string> = new Set();
const MOST_OPEN_ROWS = 2_000_000;

const nonsense = (reason: string): Fault => ({ code: "makes-no-sense", reason });

/** Looks at a record out of a foreign archive: its seals, and whether all of it is something this program could have written. */
export function lookAt(source: Archive, rows: SubjectRows): LookedAt {
  const altered = new Map<number, string>();
  try {
    for (const { standing, found } of standings(source, NO_KEYS, rows.id))
      if (standing.standing === "altered" && found !== null) altered.set(found.entry, standing.what);
    return { rows, altered, fault: faultOf(source, rows, altered) };
  } catch (error) {
    // Nested too deep to be written again, or no journal, verdict or head of ours.
    if (sqliteCode(error) !== null || !(error instanceof Error)) throw error;
    return { rows, altered, fault: nonsense(error instanceof RangeError ? error.message : causeOf(error)) };
  }
}

const causeOf = ({ message, cause }: Error): string => (cause instanceof Error ? cause.message : message);

function faultOf(source: Archive, rows: SubjectRows, altered: ReadonlyMap<number, string>): Fault | null {
  const { id, listed, entries } = rows;
  const sealed = entries.filter(({ kind }) => kind === "record");
  const [own, second] = sealed;
  if (second !== undefined) return { code: "two-seals", reason: "two sealed entries claim to be it" };
  for (const entry of entries) if (!altered.has(entry.entry)) checkBlocks(entry);
  if (own !== undefined) {
    const what = altered.get(own.entry);
    if (what === TOO_DEEP) return nonsense(what);
    if (what !== undefined) return { code: "altered", reason: what };
    return null;
  }
  if (listed === null) return null;
  if (startOf(listed.start, id) === null) return nonsense("what was known before the test cannot be read");
  if (listed.verdict === null)
    return { code: "not-ended", reason: "it has no end yet; the next test in its own archive ends it, then take it in" };
  if (verdictOf(listed.verdict) === null) return nonsense("its verdict cannot be read");
  const rest = contradiction(listed);
  if (rest !== null) return nonsense(rest);
  if (rows.journal.length > MOST_OPEN_ROWS) return nonsense(`its open journal has more than ${MOST_OPEN_ROWS} rows`);
  readJournal(source, listed.number);
  return null;
}

/** Every block is unpacked once, no further than it claims, and let go. RangeError when it is not what it claims. */
function checkBlocks({ head, blocks }: EntryRow): void {
  const claims = headOf(head)?.blocks ?? [];
  checkClaims(claims);
  if (hasTooManyEvents(claims)) throw new RangeError("its journal claims too many events");
  for (const [at, claim] of claims.entries()) {
    const block = blocks[at];
    if (block === undefined) throw new RangeError("a block is missing");
    unpackOne(block.bytes, claim);
  }
}

function unpackOne(...[bytes, claim]: Parameters<typeof unpackBlock>): void {
  try {
    unpackBlock(bytes, claim);
  } catch (error) {
    if (error instanceof RangeError && !("code" in error)) throw error;
    throw new RangeError("a block cannot be unpacked, or holds more than it claims", { cause: error });
  }
}
