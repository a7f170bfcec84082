import { isStaunchError } from "../core/errors.ts";
import { plainText } from "../core/text.ts";
import { readJournal } from "../storage/journal.ts";
import type { Archive } from "../storage/open.ts";
import { hasTooManyEvents } from "../storage/pack.ts";
import { findRecord } from "../storage/records.ts";
import { unpackSealed } from "../storage/sealedJournal.ts";
import { type SealedHead, sealedRecordOf } from "../storage/sealHead.ts";
import type { Looked } from "../storage/standings.ts";
import { type Again, judgedAgain } from "./rejudge.ts";
import type { EntryReport } from "./verifyArchive.ts";

/** Adds what judging the journal again gives, sealed or not; a verdict that its own journal does not give is altered, whoever sealed it. */
export function withAgain(archive: Archive, looked: Looked, report: EntryReport): EntryReport {
  if (looked.kind !== "record" || looked.standing.standing === "altered") return report;
  try {
    const again = looked.found === null ? bareAgain(archive, looked) : sealedAgain(archive, looked.found);
    if (again === null) return report;
    if (again.again !== "not-its-verdict") return { ...report, again };
    return { ...report, again, standing: "altered", what: `the verdict is not what its journal gives: ${again.differences.join("; ")}` };
  } catch (error) {
    if (!isStaunchError(error) || error.code !== "archive-damaged") throw error;
    const cause = error.cause instanceof Error ? `: ${plainText(error.cause.message, 120)}` : "";
    return { ...report, standing: "altered", what: `its journal cannot be read${cause}` };
  }
}

function sealedAgain(archive: Archive, { entry, head }: { entry: number; head: SealedHead | null }): Again | null {
  const record = head === null ? null : sealedRecordOf(head);
  if (head === null || record === null) return null;
  if (hasTooManyEvents(head.blocks)) return { again: "impossible", why: "its journal is too long" };
  return judgedAgain(record.start, unpackSealed(archive, entry, head), record.verdict);
}

/** `null`: it has no verdict yet. */
function bareAgain(archive: Archive, { subject }: Looked): Again | null {
  const { number, start, end } = findRecord(archive, subject);
  return end === null ? null : judgedAgain(start, readJournal(archive, number), end.verdict);
}
