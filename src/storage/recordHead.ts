import type { Archive } from "./open.ts";
import { sealedEntries } from "./sealedEntries.ts";
import type { SealedHead } from "./sealHead.ts";

/** The head that was sealed with a record, which tells of its clocks too; `null`: none can be read. Whether the seal fits is not looked at. */
export function recordHeadOf(archive: Archive, id: string): SealedHead | null {
  for (const { kind, head } of sealedEntries(archive, id, false)) if (kind === "record" && head !== null) return head;
  return null;
}
