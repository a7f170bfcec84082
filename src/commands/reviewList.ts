import type { ReviewBook } from "../core/review/book.ts";
import type { Sort } from "../core/review/find.ts";
import type { ReviewRow } from "../core/review/row.ts";
import { plainJson, plainText } from "../core/text.ts";
import type { Archive } from "../storage/open.ts";
import { percent } from "../terminal/figures.ts";
import { sourceWord } from "../terminal/plain.ts";
import { wallTime } from "../terminal/wall.ts";
import { isoTime } from "./days.ts";
import { heldSearch, searchNotes } from "./heldSearch.ts";
import { HELD, heldNotes } from "./recordList.ts";
import { table } from "./table.ts";

function cellsOf(row: ReviewRow): string[] {
  const second = row.differs ? `second: ${row.second.toUpperCase()}` : "";
  return [
    plainText(row.id, 40),
    wallTime(row.started_wall_ms),
    row.standing === "altered" ? "ALTERED" : row.word === "open" ? "no end" : plainText(row.word, 20).toUpperCase(),
    percent(row.standing === "altered" ? null : row.drop),
    plainText(row.section, 40),
    plainText(row.stage, 20),
    plainText(row.method, 40),
    plainText(row.tester, 30),
    plainText(row.state, 20),
    [sourceWord(row.source) ?? "", row.standing === "unsealed" ? "UNSEALED" : "", second].filter((text) => text !== "").join(" "),
  ];
}

/** The records that fit, a line each and each held against its seal, or as JSON; and what is to be said beside them. */
export function listText(
  archive: Archive,
  book: ReviewBook,
  { words, sort, limit, json }: { words: readonly string[]; sort: Sort; limit: number; json: boolean },
): { text: string | null; notes: string[] } {
  const hits = heldSearch(archive, book, words, sort, limit);
  const rows = Array.from(hits.subarray(0, limit), (row) => book.row(row));
  const more = hits.length - rows.length;
  const notes = heldNotes(rows.filter(({ standing }) => standing === "altered").length, rows.length - HELD);
  notes.push(...searchNotes(book, words));
  if (!json) {
    if (more > 0) notes.push(`${more} more; --limit shows more of them, words narrow the search.`);
    return { text: rows.length === 0 ? null : table(rows.map(cellsOf), new Set([3])).join("\n"), notes };
  }
  const records = rows.map(({ number: _number, started_wall_ms, codes, word, ...row }) => ({
    ...row,
    word: row.standing === "altered" ? null : word,
    started: isoTime(started_wall_ms),
    codes: codes === "" ? [] : codes.split(" "),
  }));
  return { text: plainJson({ schema: "staunch/review-list/1", found: hits.length, records }), notes };
}
