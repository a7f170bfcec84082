import { type SummaryLine, voidPart } from "../core/review/summary.ts";
import type { ZeroDrift } from "../core/review/zeroDrift.ts";
import { counted as countedWords } from "../core/text.ts";
import { percent, significant } from "./figures.ts";

/** One column of counts. */
export interface SummaryColumn {
  title: string;
  /** Where there is little room. */
  short: string;
  of(line: SummaryLine): string;
  /** Where there is little room: left out the sooner the higher; 0 stays. */
  rank: number;
  /** It may be left out only while it holds nothing. */
  isLoud?: boolean;
}

const counted = (
  title: string,
  short: string,
  name: keyof SummaryLine & Exclude<keyof SummaryLine, "name" | "first" | "meanDrop">,
  rank = 0,
) => ({
  title,
  short,
  of: (line: SummaryLine): string => String(line[name]),
  rank,
});

/** The columns of every summary, on the screen and in lines. */
export const SUMMARY_COLUMNS: readonly SummaryColumn[] = [
  counted("tests", "tests", "tests"),
  counted("pass", "pass", "pass"),
  counted("fail", "fail", "fail"),
  counted("inconcl.", "inc.", "inconclusive", 3),
  counted("void", "void", "void"),
  { title: "void part", short: "void %", of: (line) => percent(voidPart(line)), rank: 0 },
  { title: "passed first", short: "1st time", of: ({ first }) => (first.of === 0 ? "--" : `${first.passed} of ${first.of}`), rank: 0 },
  counted("open", "open", "open", 4),
  counted("differs", "2nd≠", "differs"),
  counted("unreviewed", "unrev.", "unreviewed"),
  counted("sent back", "back", "returned", 1),
  { title: "mean drop", short: "drop", of: (line) => percent(line.meanDrop), rank: 2 },
  counted("no proof", "no proof", "notProving", 1),
  { ...counted("altered", "altered", "altered", 5), isLoud: true },
];

/** Which records the counts are of. */
export const countedText = (proving: boolean): string =>
  proving
    ? "Counted: what was read from a gauge. no proof: simulated or imported, not counted. passed first, 1st time: of the sections whose first test that was not void is here."
    : "NOTHING HERE WAS READ FROM A GAUGE: it is counted all the same and proves no section.";

/** Stands under every list of zeros. */
export const UNSEALED_ZEROS = "Zeros lie beside the records and are under no seal; the journals they came from are.";

/** How a gauge's zero has moved, in pascal; `null`: none was kept. */
export function driftWords(drift: ZeroDrift | null): string {
  if (drift === null) return "no zero kept";
  const parts = [`zero ${significant(drift.latest_Pa, 3)} Pa`];
  if (drift.perMonth_Pa !== null) parts.push(`${significant(drift.perMonth_Pa, 2)} Pa in 30 days`);
  if (drift.inTest_Pa !== null) parts.push(`at most ${significant(drift.inTest_Pa, 2)} Pa in one test`);
  return [...parts, countedWords(drift.zeros, "zero")].join(" · ");
}
