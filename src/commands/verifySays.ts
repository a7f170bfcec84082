import type { RecordSource } from "../core/link.ts";
import type { VerdictWord } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { type SealedHead, sealedRecordOf } from "../storage/sealHead.ts";
import { dayOf } from "../terminal/wall.ts";

/** What a sealed record says of itself: read from what was sealed, not from what lists read. */
export interface RecordSays {
  verdict: VerdictWord;
  section: string;
  stage: string;
  source: RecordSource;
  started_wall_ms: number;
}

/** `null`: the head is no record's, or none that can be read. */
export function recordSays(head: SealedHead | null): RecordSays | null {
  const sealed = head?.kind === "record" ? sealedRecordOf(head) : null;
  if (sealed === null) return null;
  const { section, stage, source, started_wall_ms } = sealed.start;
  return { verdict: sealed.verdict.verdict, section: section.id, stage, source, started_wall_ms };
}

/** `PASS S3-S4, laid, 2026-03-01`; what proves no section says so. */
export function saysText({ verdict, section, stage, source, started_wall_ms }: RecordSays): string {
  const parts = [`${verdict.toUpperCase()} ${plainText(section, 40)}`, plainText(stage, 20), dayOf(started_wall_ms)];
  return [...parts, ...(source === "gauge" ? [] : [source.toUpperCase()])].join(", ");
}
