import type { Signature } from "../core/review/row.ts";
import { headStanding } from "../evidence/chain.ts";
import { fingerprintOf } from "../evidence/seal.ts";
import type { Archive } from "./open.ts";
import { sealedEntries } from "./sealedEntries.ts";
import { field, text } from "./shape.ts";

/** Second signatures of a record, in the order they were sealed. */
export function signaturesOf(archive: Archive, id: string): Signature[] {
  const found: Signature[] = [];
  for (const { kind, head, sealed, copies } of sealedEntries(archive, id, false)) {
    const by = text(field(head, "by"));
    if (kind !== "countersign" || head === null || by === null) continue;
    const intact = copies.length === 0 && headStanding(sealed, null).standing === "intact";
    found.push({ by, key: fingerprintOf(sealed.publicDer), wall_ms: head.sealed_wall_ms, intact });
  }
  return found;
}
