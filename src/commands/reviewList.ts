import type { ReviewBook } from "../core/review/book.ts";
import { find, type Sort } from "../core/review/find.ts";
import type { ReviewRow } from "../core/review/row.ts";
import { type Group, type SummaryLine, summarise } from "../core/review/summary.ts";
import { zeroDriftOf } from "../core/review/zeroDrift.ts";
import { plainJson, plainText } from "../core/text.ts";
import { zerosOf } from "../storage/gaugeLogs.ts";
import { listGauges } from "../storage/gauges.ts";
import type { Archive } from "../storage/open.ts";
import { significant } from "../terminal/figures.ts";
import { sourceWord } from "../terminal/plain.ts";
import { wallTime } from "./recordPage.ts";

/** Zeros of a gauge that are looked at: some years of daily use. */
const ZEROS = 2000;

/** Cells in columns as wide as the widest of each; `right`: columns of figures. */
function table(rows: readonly (readonly string[])[], right: ReadonlySet<number> = new Set()): string[] {
  const widths = (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => Array.from(row[column] ?? "").length)));
  return rows.map((row) =>
    row
      .map((cell, column) => (right.has(column) ? cell.padStart(widths[column] ?? 0) : cell.padEnd(widths[column] ?? 0)))
      .join("  ")
      .trimEnd(),
  );
}

const part = (drop: number | null): string => (drop === null ? "--" : `${Math.round(drop * 100)} %`);

function cellsOf(row: ReviewRow): string[] {
  const second = row.differs ? `second: ${row.second.toUpperCase()}` : "";
  return [
    plainText(row.id, 40),
    wallTime(row.started_wall_ms),
    row.word === "open" ? "no end" : plainText(row.word, 20).toUpperCase(),
    part(row.drop),
    plainText(row.section, 40),
    plainText(row.stage, 20),
    plainText(row.method, 40),
    plainText(row.tester, 30),
    plainText(row.state, 20),
    [sourceWord(row.source) ?? "", second].filter((text) => text !== "").join(" "),
  ];
}

/** The records that fit, a line each, or as JSON; and how many more there are. */
export function listText(
  book: ReviewBook,
  { words, sort, limit, json }: { words: readonly string[]; sort: Sort; limit: number; json: boolean },
): { text: string | null; more: number } {
  const hits = find(book, words.join(" "), sort);
  const rows = Array.from(hits.subarray(0, limit), (row) => book.row(row));
  const more = hits.length - rows.length;
  if (!json) return { text: rows.length === 0 ? null : table(rows.map(cellsOf), new Set([3])).join("\n"), more };
  const records = rows.map(({ number: _number, started_wall_ms, codes, ...row }) => ({
    ...row,
    started: Number.isNaN(new Date(started_wall_ms).getTime()) ? null : new Date(started_wall_ms).toISOString(),
    codes: codes === "" ? [] : codes.split(" "),
  }));
  return { text: plainJson({ schema: "staunch/review-list/1", found: hits.length, records }), more };
}

const HEAD = ["", "tests", "pass", "fail", "void", "inconcl.", "open", "differs", "unreviewed", "sent back", "not proving", "mean drop"];

const figures = (line: SummaryLine): string[] => [
  plainText(line.name, 40) || "not named",
  ...[
    line.tests,
    line.pass,
    line.fail,
    line.void,
    line.inconclusive,
    line.open,
    line.differs,
    line.unreviewed,
    line.returned,
    line.notProving,
  ].map(String),
  part(line.meanDrop),
];

/** How the zeros of every gauge on file have moved. */
export function zeroDrifts(archive: Archive) {
  return listGauges(archive).map(({ number, name }) => {
    const zeros = zerosOf(archive, number, ZEROS);
    return { gauge: name, zeros, drift: zeroDriftOf(zeros) };
  });
}

function zeroLines(archive: Archive): string[] {
  const rows = zeroDrifts(archive).flatMap(({ gauge, drift }) =>
    drift === null
      ? []
      : [
          [
            plainText(gauge, 40),
            `zero ${significant(drift.latest_Pa, 3)} Pa`,
            drift.perMonth_Pa === null ? "" : `${significant(drift.perMonth_Pa, 2)} Pa in 30 days`,
            drift.inTest_Pa === null ? "" : `at most ${significant(drift.inTest_Pa, 2)} Pa in one test`,
            `${drift.zeros} zeros`,
          ],
        ],
  );
  return rows.length === 0 ? [] : ["", ...table(rows)];
}

export function summaryText(
  archive: Archive,
  book: ReviewBook,
  { words, by, json }: { words: readonly string[]; by: Group; json: boolean },
) {
  const lines = summarise(book, find(book, words.join(" "), "newest"), by);
  const zeros = by === "gauge" ? zeroDrifts(archive) : [];
  if (json)
    return plainJson({
      schema: "staunch/review-summary/1",
      by,
      groups: lines,
      ...(by === "gauge" ? { zeros: zeros.map(({ gauge, drift }) => ({ gauge, ...drift })) } : {}),
    });
  if (lines.length === 0) return null;
  const [, ...titles] = HEAD;
  const right = new Set(HEAD.keys());
  right.delete(0);
  return [...table([[by, ...titles], ...lines.map(figures)], right), ...(by === "gauge" ? zeroLines(archive) : [])].join("\n");
}
