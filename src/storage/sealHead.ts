import type { RecordStart, Verdict } from "../core/record.ts";
import type { BlockClaim } from "./pack.ts";
import { isStart, isVerdict } from "./recordShape.ts";
import { field, has, hasEach, jsonObject, type Kinds } from "./shape.ts";

export type EntryKind = "record" | "review" | "countersign" | "check";
export const ENTRY_KINDS: readonly EntryKind[] = ["record", "review", "countersign", "check"];
export const HEAD_SCHEMA = "staunch/sealed/1";

/** What every sealed head says; each kind adds its own fields. */
export interface SealedHead {
  schema: typeof HEAD_SCHEMA;
  kind: EntryKind;
  chain: string;
  number: number;
  attempt: number | null;
  /** Fingerprint of the key it was sealed with. */
  key: string;
  /** Id of the record it is about. */
  subject: string;
  sealed_wall_ms: number;
  blocks: BlockClaim[];
}

/** What the head of a record has besides. */
export interface SealedRecord {
  start: RecordStart;
  ended_wall_ms: number;
  verdict: Verdict;
}

const HEAD: Kinds = {
  schema: [HEAD_SCHEMA],
  kind: ENTRY_KINDS,
  chain: "string",
  number: "number",
  attempt: "number?",
  key: "string",
  subject: "string",
  sealed_wall_ms: "number",
};
const BLOCK: Kinds = { sha256: "string", events: "number", bytes: "number" };

const isHead = (value: unknown): value is SealedHead => has(value, HEAD) && hasEach(field(value, "blocks"), BLOCK);

/** A head read from its bytes, with all its fields; `null` when they are none of ours. */
export function headOf(bytes: Uint8Array): SealedHead | null {
  const value = jsonObject(Buffer.from(bytes).toString("utf8"));
  return isHead(value) ? value : null;
}

/** What was tested, out of the head of a record; `null` when it is none. */
export function sealedRecordOf(head: SealedHead): SealedRecord | null {
  const start = field(head, "start");
  const end = field(head, "end");
  const ended_wall_ms = field(end, "ended_wall_ms");
  const verdict = field(end, "verdict");
  if (!isStart(start) || !isVerdict(verdict) || typeof ended_wall_ms !== "number") return null;
  return { start, ended_wall_ms, verdict };
}
