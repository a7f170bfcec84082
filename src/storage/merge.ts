import { fingerprintOf } from "../evidence/seal.ts";
import type { EntryRow } from "./entryRow.ts";
import { gaugeRows, writeGauges } from "./gaugeRows.ts";
import { type Fault, type LookedAt, lookAt } from "./mergeLook.ts";
import { type Taken, type Taking, taker } from "./mergeTake.ts";
import type { Archive } from "./open.ts";
import { knowsSeals } from "./sealedJournal.ts";
import { type SubjectRows, subjectReader } from "./subjectRows.ts";
import { guarded } from "./trouble.ts";

export interface Refused extends Fault {
  record: string;
}

/** What came of one file. */
export interface Merged {
  /** Id of the archive it is. */
  archive: string;
  taken: number;
  /** Of these, how many carry no seal. */
  unsealed: number;
  already: number;
  /** What lay here unsealed or altered and gave way to the sealed record. */
  completed: number;
  /** Reviews and second signatures that are new here. */
  besides: number;
  /** Taken although they are not what was sealed. */
  marked: { record: string; what: string }[];
  refused: Refused[];
  /** Fingerprints of the keys that sealed what was taken, and how many records. */
  keys: Record<string, number>;
  /** Gauges of a name that another gauge bears here. */
  otherGauges: string[];
}

/** Written in one transaction; all is looked at before, so that a test running here waits for milliseconds only. */
const BATCH_RECORDS = 100;
const BATCH_BYTES = 8 << 20;
/** Nothing is being stamped by this program: it may wait for one that does. */
const LOCK_WAIT_MS = 10_000;

/**
 * Takes the records of a foreign archive in, by bounded transactions: broken off and started again it goes on where it was, and the order of
 * files does not matter. Entries are copied byte for byte. `onBatch` hears how many records were looked at. StaunchErrors of a busy or full archive.
 */
export function merge(into: Archive, from: Archive, taking: Taking, onBatch: (looked: number) => void = () => undefined): Merged {
  const ids = guarded(from.path, () => subjectsOf(from));
  return guarded(into.path, () => {
    into.db.pragma(`busy_timeout = ${LOCK_WAIT_MS}`);
    try {
      return new Merging(into, from, taking).run(ids, onBatch);
    } finally {
      into.db.pragma("busy_timeout = 0");
    }
  });
}

function subjectsOf(from: Archive): string[] {
  const bare = "select subject from seals where subject not in (select id from records) group by subject";
  const records = from.db.prepare<[], string>("select id from records order by number").pluck().all();
  return knowsSeals(from) ? [...records, ...from.db.prepare<[], string>(bare).pluck().all()] : records;
}

class Merging {
  readonly #into: Archive;
  readonly #from: Archive;
  readonly #take: (looked: LookedAt) => Taken;
  readonly #present;
  readonly #done: Merged;
  readonly #here = new Set<string>();
  #batch: LookedAt[] = [];
  #bytes = 0;

  constructor(into: Archive, from: Archive, taking: Taking) {
    this.#into = into;
    this.#from = from;
    this.#take = taker(into, from, taking);
    // A marked record is looked at again: an intact copy may have come.
    this.#present = into.db
      .prepare<[string, number, Uint8Array, Uint8Array, Uint8Array, Uint8Array, string], number>(
        `select 1 from seals where chain = ? and number = ? and seal = ? and previous = ? and head = ? and signature = ?
          and not exists (select 1 from taken_altered t join records r on r.number = t.record where r.id = ?)`,
      )
      .pluck();
    const none = { taken: 0, unsealed: 0, already: 0, completed: 0, besides: 0 };
    this.#done = { archive: from.id, ...none, marked: [], refused: [], keys: {}, otherGauges: [] };
  }

  run(ids: readonly string[], onBatch: (looked: number) => void): Merged {
    const read = subjectReader(this.#from);
    for (const [at, id] of ids.entries()) {
      const rows = guarded(this.#from.path, () => read(id));
      if (this.#isAllHere(rows)) {
        this.#done.already++;
        this.#here.add(id);
      } else this.#add(rows);
      if (this.#batch.length < BATCH_RECORDS && this.#bytes < BATCH_BYTES) continue;
      this.#write();
      onBatch(at + 1);
    }
    this.#write();
    const gauges = guarded(this.#from.path, () => gaugeRows(this.#from, null, (record) => this.#here.has(record)));
    this.#done.otherGauges = this.#into.db.transaction(() => writeGauges(this.#into, gauges)).immediate();
    return this.#done;
  }

  /** Nothing needs to be looked at: the seals say that it is the same. */
  #isAllHere({ id, listed, entries }: SubjectRows): boolean {
    const isSealed = listed !== null && entries.some(({ kind }) => kind === "record");
    const isHere = ({ chain, number, seal, previous, head, signature }: EntryRow): boolean =>
      this.#present.get(chain, number, seal, previous, head, signature, id) !== undefined;
    return isSealed && entries.every(isHere);
  }

  #add(rows: SubjectRows): void {
    this.#batch.push(guarded(this.#from.path, () => lookAt(this.#from, rows)));
    this.#bytes += rows.entries.flatMap(({ blocks }) => blocks).reduce((sum, { bytes }) => sum + bytes.length, rows.journal.length * 100);
  }

  #write(): void {
    const batch = this.#batch;
    this.#batch = [];
    this.#bytes = 0;
    if (batch.length === 0) return;
    const all = this.#into.db.transaction(() => batch.map((looked) => ({ looked, taken: this.#take(looked) }))).immediate();
    for (const { looked, taken } of all) this.#count(looked, taken);
  }

  #count({ rows }: LookedAt, { word, refused, besides, marked }: Taken): void {
    const done = this.#done;
    done.refused.push(...refused.map((fault) => ({ record: rows.id, ...fault })));
    done.besides += besides;
    if (word !== "refused") this.#here.add(rows.id);
    done.marked.push(...marked.map((what) => ({ record: rows.id, what })));
    if (word === "already") done.already++;
    if (word !== "taken" && word !== "completed") return;
    done[word]++;
    const own = rows.entries.find(({ kind }) => kind === "record");
    if (own === undefined) done.unsealed++;
    else {
      const key = fingerprintOf(own.public);
      done.keys[key] = (done.keys[key] ?? 0) + 1;
    }
  }
}
