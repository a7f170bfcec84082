import { columnsOf, LISTED_ROWS, type ListedRow, listedRow } from "./listedRow.ts";
import type { Archive } from "./open.ts";
import { startOf, verdictOf } from "./recordRows.ts";
import { type SealedHead, type SealedRecord, sealedRecordOf } from "./sealHead.ts";
import { guarded } from "./trouble.ts";

/** Columns whose names say little. */
const NAMES: ReadonlyMap<string, string> = new Map([
  ["started_wall_ms", "the start time"],
  ["ended_wall_ms", "the end time"],
  ["word", "the verdict's word"],
  ["start", "what was known before the test"],
]);
const nameOf = (column: string): string => NAMES.get(column) ?? column;

/** Of text that is nested too deep to be written again; a stranger's, for no program of ours writes such. */
export const TOO_DEEP = "it is nested deeper than can be read";

/** The rows that lists and searches read, against what was sealed. */
export function besideHead(archive: Archive, head: SealedHead): string[] {
  if (head.kind !== "record") return [];
  const sealed = sealedRecordOf(head);
  if (sealed === null) return ["what was sealed is no record"];
  const row = guarded(archive.path, () => archive.db.prepare<[string], ListedRow>(`${LISTED_ROWS} where r.id = ?`).get(head.subject));
  if (row === undefined) return ["its row in the list of records is gone"];
  const wanted = writtenAgain(sealed);
  if (wanted === null) return [TOO_DEEP];
  const found = differing(row, wanted).map((name) => `${nameOf(name)} in the list of records is not the sealed one`);
  const raw = guarded(archive.path, () =>
    archive.db.prepare<[number], number>("select count(*) from journal where record = ?").pluck().get(row.number),
  );
  if (raw !== 0) found.push("rows lie in the open journal beside the sealed one");
  return found;
}

const differing = (row: ListedRow, wanted: object): string[] =>
  Object.entries(wanted).flatMap(([name, value]) => (Reflect.get(row, name) === value ? [] : [name]));

function writtenAgain({ start, ...end }: SealedRecord): object | null {
  try {
    return listedRow(start, end);
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

export interface BareRecord {
  id: string;
  ended: boolean;
  /** What in its rows contradicts the rest of them; `null`: nothing. */
  fault: string | null;
}

/** Records (or only the one of this id) that no sealed head is about. No seal holds them, but their own rows must agree. */
export function* bareRecords(archive: Archive, id: string | null, sealed: ReadonlySet<string>): Generator<BareRecord> {
  const { db, path } = archive;
  const ids = guarded(path, () =>
    id === null
      ? db.prepare<[], string>("select id from records order by number").pluck().all()
      : db.prepare<[string], string>("select id from records where id = ?").pluck().all(id),
  );
  const ask = db.prepare<[string], ListedRow>(`${LISTED_ROWS} where r.id = ?`);
  for (const one of ids) {
    if (sealed.has(one)) continue;
    const row = guarded(path, () => ask.get(one));
    if (row !== undefined) yield { id: one, ended: row.ended_wall_ms !== null, fault: contradiction(row) };
  }
}

/** The first thing in which lists would show another record than is opened; `null`: nothing. */
export function contradiction(row: Omit<ListedRow, "number">): string | null {
  const start = startOf(row.start, row.id);
  if (start === null) return "what was known before the test cannot be read";
  const verdict = verdictOf(row.verdict);
  if (row.verdict !== null && verdict === null) return "its verdict cannot be read";
  const word = verdict === null ? {} : { word: verdict.verdict };
  const [name] = differing({ number: 0, ...row }, { ...columnsOf(start), ...word });
  if (name !== undefined) return `${nameOf(name)} in the list of records is not that of the record`;
  if (verdict !== null && verdict.source !== start.source) return "its verdict tells another source than its start";
  return null;
}
