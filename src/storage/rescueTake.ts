import type { EntryRow } from "./entryRow.ts";
import { type ListedRow, listedRow } from "./listedRow.ts";
import type { Taking } from "./mergeTake.ts";
import type { Archive } from "./open.ts";
import { checkClaims } from "./pack.ts";
import { headlessJournals } from "./rescueBlocks.ts";
import { type GoneSeal, goneSeals, type ListSays, listSays } from "./rescueGone.ts";
import { openJournal, type Unsealed, unsealedOf } from "./rescueJournal.ts";
import type { Pages } from "./rescuePages.ts";
import type { Listed } from "./rescueRecords.ts";
import { openJournals, type Scan } from "./rescueScan.ts";
import type { FoundSeal, Seals } from "./rescueSeals.ts";
import { headOf, sealedRecordOf } from "./sealHead.ts";
import { insertAttempt } from "./sealRecord.ts";
import { subjectWriter } from "./subjectRows.ts";
import { sqliteCode } from "./trouble.ts";

/** What became of one record. */
export interface RescuedRecord {
  record: string;
  /** `sealed`: whole as it was sealed. `unsealed`: whole, as far as can be told without a seal. `unfinished`: it has no end. */
  word: "sealed" | "unsealed" | "unfinished" | "altered" | "lost";
  /** It is in the new archive. */
  taken: boolean;
  /** What is wrong or missing; `null`: nothing is known to be. */
  what: string | null;
  /** Events of an open journal that came over; `null`: it is sealed, or nothing came. */
  events: number | null;
  /** Of a lost record: what its row in the list still says, with nothing to show that it is true. */
  listed?: ListSays;
}

/** A review or second signature, whole (`what` is `null`) or not. */
export interface RescuedBeside {
  record: string;
  kind: string;
  taken: boolean;
  what: string | null;
}

export interface Everything {
  pages: Pages;
  scan: Scan;
  seals: Seals;
  listed: Listed;
  isSound: boolean;
}

/** Takes record by record into a new archive; to be used inside a transaction. */
export class RescueTaker {
  readonly #into: Archive;
  readonly #all: Everything;
  readonly #taking: Taking;
  readonly #write;
  readonly #open: ReturnType<typeof openJournals>;
  readonly #headless: ReturnType<typeof headlessJournals>;
  readonly #bySubject = new Map<string, FoundSeal[]>();
  /** Sealed entries of which only an index knows. */
  readonly #gone: GoneSeal[];

  constructor(into: Archive, all: Everything, taking: Taking) {
    this.#into = into;
    this.#all = all;
    this.#taking = taking;
    this.#write = subjectWriter(into.db);
    for (const seal of all.seals.found) this.#bySubject.set(seal.subject, [...(this.#bySubject.get(seal.subject) ?? []), seal]);
    this.#gone = goneSeals(all.scan, all.seals);
    const unsealed = [...all.listed.found].filter(([id]) => this.#sealOf(id) === undefined).map(([, { number }]) => number);
    this.#open = openJournals(all.pages, new Set(unsealed));
    this.#headless = headlessJournals(all.scan, new Set(this.#gone.map(({ entry }) => entry)));
  }

  records(): RescuedRecord[] {
    const { seals, listed } = this.#all;
    const sealed = seals.found.filter(({ kind }) => kind === "record").map(({ subject }) => subject);
    const gone = this.#gone.filter(({ kind }) => kind === "record").map(({ subject }) => subject);
    return [...new Set([...listed.found.keys(), ...sealed, ...gone, ...listed.told])].map((id) => this.#record(id));
  }

  besides(): RescuedBeside[] {
    const found = this.#all.seals.found.filter(({ kind }) => kind !== "record");
    const gone = this.#gone.filter(({ kind }) => kind !== "record");
    return [
      ...found.map((seal) => this.#beside(seal)),
      ...gone.map(({ kind, subject }) => ({ record: subject, kind, taken: false, what: "only the index still knows of it" })),
    ];
  }

  #sealOf(id: string): FoundSeal | undefined {
    const own = this.#bySubject.get(id)?.filter(({ kind }) => kind === "record") ?? [];
    return own.find(({ what }) => what === null) ?? own[0];
  }

  #record(id: string): RescuedRecord {
    const seal = this.#sealOf(id);
    if (seal !== undefined) return this.#sealed(seal);
    const row = this.#all.listed.row(id);
    const lost = (what: string): RescuedRecord => ({ record: id, word: "lost", taken: false, what, events: null });
    if (row === null)
      return lost(this.#all.listed.found.has(id) ? "what was known before the test cannot be read" : "only its name is left");
    const gone = this.#gone.find(({ kind, subject }) => kind === "record" && subject === id);
    const journal = gone === undefined ? openJournal(this.#open.get(row.number)) : this.#headless(gone.entry);
    const left = unsealedOf({ listed: row, journal, wasSealed: gone !== undefined, isSound: this.#all.isSound }, this.#all.listed);
    // Without a verdict the next test would close it as broken off, which it was not.
    if (left.word === "lost" && (row.verdict === null || !this.#taking.takeAltered))
      return { ...lost(left.what ?? ""), listed: listSays(row) };
    const failed = this.#put(() => this.#putUnsealed(row, left));
    if (failed !== null) return lost(failed);
    return { record: id, word: left.word, taken: true, what: left.what, events: left.journal.rows.length };
  }

  #putUnsealed(row: ListedRow, { journal, what }: Unsealed): void {
    const number = this.#write.listed(row);
    this.#write.journal(number, journal.rows);
    const attempt = this.#all.listed.attempts.get(row.number);
    if (attempt !== undefined && row.verdict === null) insertAttempt(this.#into, number, attempt.key, attempt.attempt);
    if (what !== null) this.#mark(number, what);
  }

  #sealed(seal: FoundSeal): RescuedRecord {
    const done = (word: "sealed" | "altered", taken: boolean, what: string | null): RescuedRecord => ({
      record: seal.subject,
      word,
      taken,
      what,
      events: null,
    });
    if (seal.what !== null && !this.#taking.takeAltered) return done("altered", false, seal.what);
    const entry = this.#all.seals.load(seal);
    const row = entry === null ? null : this.#listedOf(entry);
    if (entry === null || row === null) return done("altered", false, seal.what);
    const failed = this.#put(() => {
      // Blocks are as they were sealed; whoever unpacks them goes no further than they claim.
      checkClaims(headOf(entry.head)?.blocks ?? []);
      const number = this.#write.listed(row);
      this.#write.entry(entry);
      if (seal.what !== null) this.#mark(number, seal.what);
    });
    return failed === null ? done(seal.what === null ? "sealed" : "altered", true, seal.what) : done("altered", false, failed);
  }

  /** Of a sealed record the row of the list is made from what was sealed: that is the truth, the row a copy for lists. */
  #listedOf({ head, subject }: EntryRow): Omit<ListedRow, "number"> | null {
    const said = headOf(head);
    const record = said === null ? null : sealedRecordOf(said);
    return record !== null && record.start.id === subject ? listedRow(record.start, record) : this.#all.listed.row(subject);
  }

  #beside(seal: FoundSeal): RescuedBeside {
    const { subject: record, kind, what } = seal;
    const entry = what !== null && !this.#taking.takeAltered ? null : this.#all.seals.load(seal);
    if (entry === null) return { record, kind, taken: false, what };
    const failed = this.#put(() => this.#write.entry(entry));
    return { record, kind, taken: failed === null, what: failed ?? what };
  }

  #mark(record: number, what: string): void {
    this.#write.mark(record, { archive: this.#all.listed.archive ?? "", taken_wall_ms: this.#taking.wall_ms, what });
  }

  /** Why nothing of it was put down; `null`: all was. A stranger's file may hold what no archive takes. */
  #put(action: () => void): string | null {
    try {
      this.#into.db.transaction(action)();
      return null;
    } catch (error) {
      if (error instanceof RangeError || error instanceof TypeError) return error.message;
      if (sqliteCode(error)?.startsWith("SQLITE_CONSTRAINT")) return "it holds what no archive can hold";
      throw error;
    }
  }
}
