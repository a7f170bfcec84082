import { type EntryRow, sameBytes } from "./entryRow.ts";
import { readJournal } from "./journal.ts";
import { ownEntries } from "./mergeBesides.ts";
import type { Fault, LookedAt } from "./mergeLook.ts";
import type { Archive } from "./open.ts";
import { type SubjectRows, subjectWriter } from "./subjectRows.ts";

/** What became of one record. */
export interface Taken {
  /** `completed`: what lay here unsealed or altered gave way to the sealed record. `beside`: it is not there itself, only entries about it. */
  word: "taken" | "already" | "completed" | "refused" | "beside";
  /** The record, or single entries about it. */
  refused: Fault[];
  /** Reviews and second signatures that came in. */
  besides: number;
  /** What differs in a record, a review or a second signature that was taken all the same. */
  marked: string[];
}

export interface Taking {
  takeAltered: boolean;
  wall_ms: number;
}

interface Here {
  number: number;
  chain: string | null;
  place: number | null;
  seal: Uint8Array | null;
  public: Uint8Array | null;
  marked: number;
}

const HERE = `select r.number, s.chain, s.number as place, s.seal, k.public,
    exists (select 1 from taken_altered t where t.record = r.number) as marked
  from records r left join seals s on s.subject = r.id and s.kind = 'record' left join keys k on k.number = s.key
  where r.id = ? order by s.entry limit 1`;

const refuse = (code: Fault["code"], reason: string): Taken => ({ word: "refused", refused: [{ code, reason }], besides: 0, marked: [] });

/** Takes records of one foreign archive into `into`; each call is to be made inside a transaction. */
export function taker(into: Archive, from: Archive, { takeAltered, wall_ms }: Taking): (looked: LookedAt) => Taken {
  const { db } = into;
  const write = subjectWriter(db);
  const { isForged, besides } = ownEntries(into, write);
  const hereOf = db.prepare<[string], Here>(HERE);
  const done = (looked: LookedAt, word: Taken["word"], marked: string[] = []): Taken => {
    const refused: Fault[] = [];
    return { word, besides: besides(looked, takeAltered, refused, marked), refused, marked };
  };
  const put = (looked: LookedAt, word: "taken" | "completed"): Taken => {
    const { rows, fault } = looked;
    const { listed, entries, journal } = rows;
    if (listed === null) return refuse("makes-no-sense", "its row in the list of records is gone");
    const number = write.listed(listed);
    write.journal(number, journal);
    for (const entry of entries) if (entry.kind === "record") write.entry(entry);
    if (fault !== null) write.mark(number, { archive: from.id, taken_wall_ms: wall_ms, what: fault.reason });
    return done(looked, word, fault === null ? [] : [fault.reason]);
  };

  return (looked) => {
    const { rows, fault } = looked;
    if (fault !== null && !(fault.code === "altered" && takeAltered)) return refuse(fault.code, fault.reason);
    const own = rows.entries.find(({ kind }) => kind === "record") ?? null;
    if (own !== null && isForged(own, fault !== null)) return refuse("own-chain", "it claims to stand in this archive's own chain");
    if (own === null && rows.listed === null) return done(looked, "beside");
    const here = hereOf.get(rows.id);
    if (here === undefined) return put(looked, "taken");
    if (own !== null && fault === null && isWorse(into, from, here, own, rows)) {
      clear(into, here.number, rows.id);
      return put(looked, "completed");
    }
    const isSame = own === null ? sameContent(into, from, here.number, rows) : sameBytes(own.seal, here.seal);
    return isSame ? done(looked, "already") : refuse("other-seal", "another record of this id is here already, and is kept");
  };
}

/** True when what lies here is the same record without its seal, or an altered copy of this very entry. */
function isWorse(into: Archive, from: Archive, here: Here, own: EntryRow, rows: SubjectRows): boolean {
  if (here.seal === null) return sameContent(into, from, here.number, rows) || (here.marked === 1 && sameStart(into, here.number, rows));
  const isSamePlace = here.chain === own.chain && here.place === own.number && sameBytes(here.public, own.public);
  return here.marked === 1 && (isSamePlace || sameBytes(here.seal, own.seal));
}

/** Removes what stands here of a record, so that its better copy can take its place; what others said of it stays. */
function clear({ db }: Archive, record: number, id: string): void {
  db.prepare("delete from blocks where entry in (select entry from seals where subject = ? and kind = 'record')").run(id);
  db.prepare("delete from seals where subject = ? and kind = 'record'").run(id);
  for (const table of ["taken_altered", "review_lines", "review_curves", "attempts", "journal", "ends"])
    db.prepare(`delete from ${table} where record = ?`).run(record);
  db.prepare("delete from records where number = ?").run(record);
}

/** What is here came out of a damaged archive, not whole: what was known before the test says whether this is its good copy. */
function sameStart({ db }: Archive, number: number, { listed }: SubjectRows): boolean {
  return listed !== null && db.prepare<[number], string>("select start from records where number = ?").pluck().get(number) === listed.start;
}

/** The same start, verdict and journal, sealed or not. */
function sameContent(into: Archive, from: Archive, number: number, { listed }: SubjectRows): boolean {
  const sql = "select r.start, e.verdict from records r left join ends e on e.record = r.number where r.number = ?";
  const here = into.db.prepare<[number], { start: string; verdict: string | null }>(sql).get(number);
  if (listed === null || here?.start !== listed.start || here.verdict !== listed.verdict) return false;
  const [one, other] = [readJournal(into, number), readJournal(from, listed.number)];
  return one.length === other.length && JSON.stringify(one) === JSON.stringify(other);
}
