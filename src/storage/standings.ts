import { type SealedEntry, type Standing, standingOf } from "../evidence/chain.ts";
import { fingerprintOf } from "../evidence/seal.ts";
import type { Archive } from "./open.ts";
import { type FoundEntry, sealedEntries } from "./sealedEntries.ts";
import { knowsSeals } from "./sealedJournal.ts";
import { type EntryKind, type SealedHead, sealedRecordOf } from "./sealHead.ts";
import { guarded } from "./trouble.ts";

/** One sealed entry, or a record without one, after it was looked at. */
export interface Looked {
  kind: EntryKind;
  /** Id of the record it is about. */
  subject: string;
  standing: Standing | { standing: "unsealed"; ended: boolean };
  /** Number of the entry inside this archive, what it says and how it stands in its chain; `null`: unsealed. */
  found: { entry: number; head: SealedHead | null; sealed: SealedEntry } | null;
}

interface RecordCopies {
  number: number;
  id: string;
  started_wall_ms: number;
  source: string;
  section: string;
  stage: string;
  method: string;
  start: string;
  ended_wall_ms: number | null;
  word: string | null;
  verdict: string | null;
}

const COPIES = `select r.number, r.id, r.started_wall_ms, r.source, r.section, r.stage, r.method, r.start, e.ended_wall_ms, e.word, e.verdict
  from records r left join ends e on e.record = r.number`;

/**
 * Looks at every sealed entry (or those about one record), then at the records that have none; all as it was at one moment. `trusted` are
 * fingerprints of keys. Bytes are let go as soon as they were hashed: `sealed` comes back without blocks and head.
 */
export function* standings(archive: Archive, trusted: ReadonlySet<string>, subject: string | null = null): Generator<Looked> {
  const { db } = archive;
  db.exec("begin");
  try {
    for (const found of sealedEntries(archive, subject)) {
      const { entry, head, kind } = found;
      const sealed = { ...found.sealed, blocks: [], head: new Uint8Array(0) };
      yield { kind, subject: found.subject, standing: lookAt(archive, found, trusted), found: { entry, head, sealed } };
    }
    for (const { id, ended } of unsealed(archive, subject))
      yield { kind: "record", subject: id, standing: { standing: "unsealed", ended: ended === 1 }, found: null };
  } finally {
    db.exec("commit");
  }
}

function unsealed(archive: Archive, subject: string | null): { id: string; ended: number }[] {
  const bare = knowsSeals(archive) ? "and not exists (select 1 from seals s where s.subject = r.id and s.kind = 'record')" : "";
  const sql = `select r.id, e.record is not null as ended from records r left join ends e on e.record = r.number
    where (? is null or r.id = ?) ${bare} order by r.number`;
  return guarded(archive.path, () =>
    archive.db.prepare<[string | null, string | null], { id: string; ended: number }>(sql).all(subject, subject),
  );
}

function lookAt(archive: Archive, { sealed, head, copies }: FoundEntry, trusted: ReadonlySet<string>): Standing {
  const standing = standingOf(sealed, trusted);
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

/** The rows that lists and searches read, against what was sealed. */
function besideHead(archive: Archive, head: SealedHead): string[] {
  if (head.kind !== "record") return [];
  const sealed = sealedRecordOf(head);
  if (sealed === null) return ["what was sealed is no record"];
  const row = guarded(archive.path, () => archive.db.prepare<[string], RecordCopies>(`${COPIES} where r.id = ?`).get(head.subject));
  if (row === undefined) return ["its row in the list of records is gone"];
  const { start, ended_wall_ms, verdict } = sealed;
  const wanted: Omit<RecordCopies, "number"> = {
    id: start.id,
    started_wall_ms: start.started_wall_ms,
    source: start.source,
    section: start.section.id,
    stage: start.stage,
    method: start.limits.method.id,
    start: JSON.stringify(start),
    ended_wall_ms,
    word: verdict.verdict,
    verdict: JSON.stringify(verdict),
  };
  const found = Object.entries(wanted)
    .filter(([name, value]) => Reflect.get(row, name) !== value)
    .map(([name]) => `${LISTED.get(name) ?? name} in the list of records is not the sealed one`);
  const raw = archive.db.prepare<[number], number>("select count(*) from journal where record = ?").pluck().get(row.number);
  if (raw !== 0) found.push("rows lie in the open journal beside the sealed one");
  return found;
}

const LISTED: ReadonlyMap<string, string> = new Map([
  ["started_wall_ms", "the start time"],
  ["ended_wall_ms", "the end time"],
  ["word", "the verdict's word"],
  ["start", "what was known before the test"],
]);
