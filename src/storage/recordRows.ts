import type { Database } from "better-sqlite3";
import type { RecordEnd, RecordStart, Verdict } from "../core/record.ts";
import { listedRow, listedWriter } from "./listedRow.ts";
import { isStart, isVerdict } from "./recordShape.ts";
import { jsonObject } from "./shape.ts";

/** Writes a record's start; its number comes back. To be called inside a transaction. */
export function insertStart(db: Database, start: RecordStart): number {
  const row = listedRow(start, null);
  // A figure that is no number would be lost in JSON; better found before the test than after it.
  if (startOf(row.start, start.id) === null) throw new TypeError(`the start of record ${start.id} could not be read back`);
  return listedWriter(db).start(row);
}

/** Writes how a record ended. To be called inside a transaction. */
export function insertEnd(db: Database, record: number, { ended_wall_ms, verdict }: RecordEnd): void {
  listedWriter(db).end(record, { ended_wall_ms, word: verdict.verdict, verdict: JSON.stringify(verdict) });
}

/** The start kept under this id; `null` when the text is not one. */
export function startOf(json: string, id: string): RecordStart | null {
  const value = jsonObject(json);
  return isStart(value) && value.id === id ? value : null;
}

/** `null` when the text is no verdict of ours. */
export function verdictOf(json: string | null): Verdict | null {
  const value = jsonObject(json);
  return isVerdict(value) ? value : null;
}
