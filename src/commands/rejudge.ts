import type { JournalEvent } from "../core/journal.ts";
import { JUDGE_VERSION, type RecordStart, type Verdict } from "../core/record.ts";
import { differences } from "../core/verdictDifferences.ts";
import { foldJournal } from "./foldJournal.ts";

/** What comes out when a sealed journal is judged again. */
export type Again =
  | { again: "same" }
  /** Another judge version: its rules may differ. */
  | { again: "differently"; differences: string[] }
  /** The same rules do not give this verdict. */
  | { again: "not-its-verdict"; differences: string[] }
  /** This program cannot judge it (a driver it does not have). */
  | { again: "impossible"; why: string };

/** Runs the journal through today's judge and holds its verdict against `before`. Nothing is thrown for a journal that cannot be judged: that is said. */
export function judgedAgain(start: RecordStart, journal: readonly JournalEvent[], before: Verdict): Again {
  try {
    const found = differences(before, foldJournal(start, journal));
    if (found.length === 0) return { again: "same" };
    return { again: before.judge_version === JUDGE_VERSION ? "not-its-verdict" : "differently", differences: found };
  } catch (error) {
    return { again: "impossible", why: error instanceof Error ? error.message : String(error) };
  }
}
