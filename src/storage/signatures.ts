import { headStanding } from "../evidence/chain.ts";
import { fingerprintOf } from "../evidence/seal.ts";
import type { Archive } from "./open.ts";
import { sealedEntries } from "./sealedEntries.ts";
import { field, text } from "./shape.ts";

/** A second signature under a record's seal; strings are untrusted. Whose the key is only its owner can tell. */
export interface Signature {
  by: string;
  /** Fingerprint of the key that signed. */
  key: string;
  wall_ms: number;
  /** It is what was signed, by whatever key. */
  intact: boolean;
}

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
