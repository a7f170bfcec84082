import type { Database } from "better-sqlite3";
import type { RecordEnd, RecordStart, Verdict } from "../core/record.ts";
import { field, has, jsonObject } from "./shape.ts";

/** Writes a record's start; its number comes back. To be called inside a transaction. */
export function insertStart(db: Database, start: RecordStart): number {
  const done = db
    .prepare("insert into records (id, started_wall_ms, source, section, stage, method, start) values (?, ?, ?, ?, ?, ?, ?)")
    .run(start.id, start.started_wall_ms, start.source, start.section.id, start.stage, start.limits.method.id, JSON.stringify(start));
  return Number(done.lastInsertRowid);
}

/** Writes how a record ended. To be called inside a transaction. */
export function insertEnd(db: Database, record: number, end: RecordEnd): void {
  db.prepare("insert into ends (record, ended_wall_ms, word, verdict) values (?, ?, ?, ?)").run(
    record,
    end.ended_wall_ms,
    end.verdict.verdict,
    JSON.stringify(end.verdict),
  );
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

function isStart(value: unknown): value is RecordStart {
  const limits = field(value, "limits");
  return (
    has(value, {
      id: "string",
      started_wall_ms: "number",
      source: "string",
      stage: "string",
      tester: "string?",
      rule: "string",
    }) &&
    has(value, {
      strict: "boolean",
      program: "string",
      judge_version: "number",
    }) &&
    has(field(value, "section"), {
      id: "string",
      dn_mm: "number?",
      material: "string?",
      laid_length_m: "number?",
    }) &&
    has(field(value, "gauge"), {
      url: "string",
      protocol: "string",
      reference: "string",
      resolution_Pa: "number?",
    }) &&
    has(field(limits, "method"), {
      id: "string",
      title: "string",
      source: "string",
    }) &&
    has(limits, {
      medium: "string",
      stop: "string",
      direction: "string",
      charge_Pa: "number",
      settle_s: "number",
      test_Pa: "number",
    }) &&
    has(limits, {
      hold_s: "number",
      permittedDrop_Pa: "number",
      floor_Pa: "number?",
      boundary: "string",
      startTolerance_Pa: "number",
    }) &&
    has(limits, {
      top_Pa: "number",
      provenance: "string",
      working: "list",
      cautions: "list",
    })
  );
}

function isVerdict(value: unknown): value is Verdict {
  return (
    has(value, {
      schema: "string",
      verdict: "string",
      reasons: "list",
      judge: "string",
      judge_version: "number",
      rule: "string",
    }) &&
    has(value, {
      source: "string",
      program: "string",
      phases: "list",
      remarks: "list",
      readings: "number",
    }) &&
    has(field(value, "method"), {
      id: "string",
      title: "string",
      source: "string",
    }) &&
    has(field(value, "hold"), {
      required_s: "number",
      permitted_Pa: "number",
      drop_Pa: "number?",
      u_drop_Pa: "number?",
    }) &&
    has(field(value, "leak"), {
      decay_per_min: "number?",
      rate_L_min: "number?",
    })
  );
}
