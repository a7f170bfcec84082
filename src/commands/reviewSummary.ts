import type { ReviewBook } from "../core/review/book.ts";
import { type Group, type SummaryLine, summarise } from "../core/review/summary.ts";
import { zeroDriftOf } from "../core/review/zeroDrift.ts";
import { plainJson, plainText } from "../core/text.ts";
import { zerosOf } from "../storage/gaugeLogs.ts";
import { listGauges } from "../storage/gauges.ts";
import type { Archive } from "../storage/open.ts";
import { countedText, driftWords, SUMMARY_COLUMNS, UNSEALED_ZEROS } from "../terminal/summaryWords.ts";
import { heldSearch, searchNotes } from "./heldSearch.ts";
import { HELD, heldNotes } from "./recordList.ts";
import { table } from "./table.ts";

/** Zeros of a gauge that are looked at: some years of daily use. */
const ZEROS = 2000;

/** How the zeros of every gauge on file have moved. */
export function zeroDrifts(archive: Archive) {
  return listGauges(archive).map(({ number, name }) => {
    const zeros = zerosOf(archive, number, ZEROS);
    return { gauge: name, zeros, drift: zeroDriftOf(zeros) };
  });
}

function zeroLines(archive: Archive): string[] {
  const drifts = zeroDrifts(archive);
  if (drifts.length === 0) return [];
  const rows = drifts.map(({ gauge, drift }) => `${plainText(gauge, 40)}: ${driftWords(drift)}`);
  return ["", ...rows, UNSEALED_ZEROS];
}

/** Counts of what fits, by tester, gauge, method or week; and what is to be said beside them. */
export function summaryText(
  archive: Archive,
  book: ReviewBook,
  { words, by, json }: { words: readonly string[]; by: Group; json: boolean },
): { text: string | null; notes: string[] } {
  const rows = heldSearch(archive, book, words, "newest", HELD);
  const { lines, proving } = summarise(book, rows, by);
  const altered = lines.reduce((sum, line) => sum + line.altered, 0);
  const notes = [...heldNotes(altered, rows.length - HELD), ...searchNotes(book, words)];
  if (json) return { text: jsonText(archive, by, lines, proving), notes };
  if (lines.length === 0) return { text: null, notes };
  const titles = SUMMARY_COLUMNS.map(({ title }) => title);
  const cells = lines.map((line) => [plainText(line.name, 40) || "not named", ...SUMMARY_COLUMNS.map(({ of }) => of(line))]);
  const right = new Set(SUMMARY_COLUMNS.map((_, column) => column + 1));
  const zeros = by === "gauge" ? zeroLines(archive) : [];
  return { text: [...table([[by, ...titles], ...cells], right), countedText(proving), ...zeros].join("\n"), notes };
}

function jsonText(archive: Archive, by: Group, groups: readonly SummaryLine[], proving: boolean): string {
  const zeros = by === "gauge" ? { zeros: zeroDrifts(archive).map(({ gauge, drift }) => ({ gauge, ...drift })), zeros_sealed: false } : {};
  return plainJson({ schema: "staunch/review-summary/1", by, counted: proving ? "proving" : "not-proving", groups, ...zeros });
}
