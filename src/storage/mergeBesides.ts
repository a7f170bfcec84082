import { fingerprintOf } from "../evidence/seal.ts";
import { type EntryRow, sameBytes } from "./entryRow.ts";
import type { Fault, LookedAt } from "./mergeLook.ts";
import type { Archive } from "./open.ts";
import type { SubjectWriter } from "./subjectRows.ts";

interface There {
  entry: number;
  previous: Uint8Array;
  head: Uint8Array;
  signature: Uint8Array;
}

const nameOf = ({ kind, number }: EntryRow): string => `${kind === "review" ? "a review" : "a second signature"} (number ${number})`;

/** Sealed entries of an archive that others are taken into. */
export interface OwnEntries {
  /**
   * It claims a place in this archive's own chain and is by no key that ever sealed there, or is not what was sealed: a stranger who writes on in
   * it would decide on what the next entry here stands.
   */
  isForged(entry: EntryRow, isAltered: boolean): boolean;
  /**
   * Takes reviews and second signatures of a record; how many are new here. What was not taken goes into `refused`, what was although it is
   * altered into `marked`. To be called inside a transaction.
   */
  besides(looked: LookedAt, takeAltered: boolean, refused: Fault[], marked: string[]): number;
}

/** `write` puts into the same archive. To be made once for a file, when the entries of its own chain are known. */
export function ownEntries({ db, id }: Archive, write: SubjectWriter): OwnEntries {
  const keys = db
    .prepare<[string], Uint8Array>("select distinct k.public from seals s join keys k on k.number = s.key where s.chain = ?")
    .pluck()
    .all(id);
  const known = new Set(keys.map(fingerprintOf));
  const find = db.prepare<[string, number, Uint8Array], There>(
    "select entry, previous, head, signature from seals where chain = ? and number = ? and seal = ?",
  );
  const remove = ["delete from blocks where entry = ?", "delete from seals where entry = ?"].map((sql) => db.prepare(sql));
  const there = ({ chain, number, seal }: EntryRow): There | undefined => find.get(chain, number, seal);
  const isForged = (entry: EntryRow, isAltered: boolean): boolean =>
    entry.chain === id && (isAltered || !known.has(fingerprintOf(entry.public))) && there(entry) === undefined;

  /** True when it is new here, or takes the place of a copy that was altered. */
  const isWanted = (entry: EntryRow, isIntact: boolean): boolean => {
    const own = there(entry);
    if (own === undefined) return true;
    const isSame = sameBytes(own.head, entry.head) && sameBytes(own.previous, entry.previous) && sameBytes(own.signature, entry.signature);
    if (!isIntact || isSame) return false;
    for (const statement of remove) statement.run(own.entry);
    return true;
  };

  const besides: OwnEntries["besides"] = ({ rows, altered }, takeAltered, refused, marked) => {
    let count = 0;
    for (const entry of rows.entries) {
      if (entry.kind === "record") continue;
      const what = altered.get(entry.entry);
      if (what !== undefined && !takeAltered) refused.push({ code: "altered", reason: `${nameOf(entry)}: ${what}` });
      else if (isForged(entry, what !== undefined))
        refused.push({ code: "own-chain", reason: `${nameOf(entry)} claims to stand in this archive's own chain` });
      else if (isWanted(entry, what === undefined)) {
        write.entry(entry);
        count++;
        if (what !== undefined) marked.push(`${nameOf(entry)}: ${what}`);
      }
    }
    return count;
  };
  return { isForged, besides };
}
