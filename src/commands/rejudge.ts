import type { JournalEvent } from "../core/journal.ts";
import { JUDGE_VERSION, type RecordStart, type Verdict } from "../core/record.ts";
import { foldJournal } from "./foldJournal.ts";
import { differences } from "./verdictDifferences.ts";

/** What comes out when a sealed journal is judged again. */
export type Again =
  | { again: "same" }
  /** Another judge version: its rules may differ. */
  | { again: "differently"; differences: string[] }
  /** The same rules do not give this verdict. */
  | { again: "not-its-verdict"; differences: string[] }
  /** This program cannot judge it (a driver it does not have). */
  | { again: "impossible"; why: string };

export function judgedAgain(start: RecordStart, journal: readonly JournalEvent[], before: Verdict): Again {
  try {
    const found = differences(comparable(before), comparable(foldJournal(start, journal)));
    if (found.length === 0) return { again: "same" };
    return { again: before.judge_version === JUDGE_VERSION ? "not-its-verdict" : "differently", differences: found };
  } catch (error) {
    return { again: "impossible", why: error instanceof Error ? error.message : String(error) };
  }
}

/** Six digits, for other processors round otherwise in the last ones; sentences are left out, for they may be put better without judging otherwise. */
const comparable = (verdict: Verdict): Verdict =>
  JSON.parse(
    JSON.stringify(verdict, (key, value: unknown) => {
      if (key === "text" || key === "judge_version") return undefined;
      return typeof value === "number" && Number.isFinite(value) ? Number(value.toPrecision(6)) : value;
    }),
  );
