import type { Database } from "better-sqlite3";
import type { EndCause, JournalBody, JournalEvent } from "../core/journal.ts";
import type { Archive } from "./open.ts";
import { sealedJournal } from "./sealedJournal.ts";
import { field, jsonObject, text, whole } from "./shape.ts";
import { damagedError, guarded } from "./trouble.ts";

/** A row as it lies in the open journal; `body` is a blob for bytes, JSON for the rest. */
export interface JournalRow {
  seq: number;
  at_ms: number;
  wall_ms: number;
  kind: string;
  body: Uint8Array | string | null;
}

/** Puts events of one record into the journal; to be called inside a transaction. */
export type AppendEvents = (record: number, events: readonly JournalEvent[]) => void;

export function appender(db: Database): AppendEvents {
  const insert = rowInserter(db);
  return (record, events) => {
    for (const event of events) insert(record, rowOf(event));
  };
}

/** An event as it lies in the open journal. */
export function rowOf(event: JournalEvent): JournalRow {
  const { seq, at_ms, wall_ms } = event;
  return { seq, at_ms, wall_ms, kind: kindOf(event), body: bodyOf(event) };
}

/** Puts a row into the open journal of a record as it is; to be used inside a transaction. */
export function rowInserter(db: Database): (record: number, row: JournalRow) => void {
  const insert = db.prepare("insert into journal (record, seq, at_ms, wall_ms, kind, body) values (?, ?, ?, ?, ?, ?)");
  return (record, { seq, at_ms, wall_ms, kind, body }) => {
    insert.run(record, seq, at_ms, wall_ms, kind, body);
  };
}

/** The journal of a record by its number, in order, sealed or not. What makes no sense is `archive-damaged`, never skipped. */
export function readJournal(archive: Archive, record: number): JournalEvent[] {
  return guarded(archive.path, () => sealedJournal(archive, record)) ?? readRows(archive, record);
}

function readRows(archive: Archive, record: number): JournalEvent[] {
  const rows = guarded(archive.path, () =>
    archive.db
      .prepare<[number], JournalRow>("select seq, at_ms, wall_ms, kind, body from journal where record = ? order by seq")
      .all(record),
  );
  return rows.map((row) => {
    const event = eventFrom(row);
    if (event === null) throw damagedError(archive.path, new Error(`record ${record}, journal row ${row.seq}: ${row.kind}`));
    return event;
  });
}

/** `null` when a row is no event of ours. */
export function eventFrom(row: JournalRow): JournalEvent | null {
  const { seq, at_ms, wall_ms } = row;
  const [kind = "", line = null] = row.kind.split("@", 2);
  const body = isLine(line) ? eventBody({ ...row, kind }) : null;
  return body === null ? null : { ...body, ...(line === null ? {} : { line: Number(line) }), seq, at_ms, wall_ms };
}

/** An event of a gauge beside the one on the pipe says so in its kind: `bytes-in@1`. */
const kindOf = ({ kind, line = 0 }: JournalEvent): string => (line === 0 ? kind : `${kind}@${line}`);

const isLine = (text: string | null): boolean => text === null || /^[1-9]\d?$/.test(text);

function bodyOf(event: JournalEvent): Uint8Array | string | null {
  switch (event.kind) {
    case "bytes-in":
    case "bytes-sent":
      return event.bytes;
    case "wake":
      return null;
    default: {
      const { seq: _seq, at_ms: _at, wall_ms: _wall, kind: _kind, line: _line, ...rest } = event;
      return JSON.stringify(rest);
    }
  }
}

const CAUSES: readonly EndCause[] = ["finished", "user", "interrupted", "link-lost", "failed"];

function eventBody({ kind, body }: JournalRow): JournalBody | null {
  if (kind === "bytes-in" || kind === "bytes-sent") return body instanceof Uint8Array ? { kind, bytes: new Uint8Array(body) } : null;
  if (kind === "wake") return { kind };
  const fields = jsonObject(body);
  return fields === null ? null : namedBody(kind, fields);
}

function namedBody(kind: string, fields: object): JournalBody | null {
  const detail = text(field(fields, "detail"));
  if (kind === "link-up") return detail === null ? null : { kind, detail };
  if (kind === "end") {
    const cause = CAUSES.find((known) => known === field(fields, "cause"));
    return cause === undefined || detail === null ? null : { kind, cause, detail };
  }
  if (kind === "link-down") {
    const reason = text(field(fields, "reason"));
    return reason === null ? null : { kind, reason };
  }
  if (kind === "silence") {
    const since_ms = whole(field(fields, "since_ms"));
    return since_ms === null ? null : { kind, since_ms };
  }
  if (kind === "key") {
    const action = text(field(fields, "action"));
    return action === null ? null : { kind, action };
  }
  if (kind === "zero") {
    const zero_Pa = field(fields, "zero_Pa");
    return typeof zero_Pa === "number" ? { kind, zero_Pa } : null;
  }
  return null;
}
