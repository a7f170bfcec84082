import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { openForeign } from "./foreign.ts";
import { isWriteAhead } from "./foreignCopy.ts";
import { type Archive, openArchive } from "./open.ts";

/**
 * An archive that somebody names, for reading. The one that was named as one's own is read where it lies; any other, and a handover (which has no
 * write-ahead log) wherever it is named, must first stand every check of `openForeign`. `beside`: a file in whose folder copies may be made.
 */
export function openGiven(path: string, own: string, beside: string): Archive {
  const isOwn = resolve(path) === resolve(own);
  if (isOwn && (!existsSync(path) || isWriteAhead(path))) return openArchive(path, { mode: "read" });
  return openForeign(path, beside);
}
