import { type JournalRow, rowOf } from "./journal.ts";
import { unpackHeadless } from "./pack.ts";
import type { OpenJournal } from "./rescueJournal.ts";
import type { Scan, Where } from "./rescueScan.ts";

/**
 * Journals of sealed entries whose heads are gone, out of the blocks that still lie under their numbers: from the first on, up to one that is
 * missing or is not what its hash says.
 */
export function headlessJournals(scan: Scan, entries: ReadonlySet<number>): (entry: number) => OpenJournal {
  const blocks = new Map<string, Where>();
  for (const where of entries.size === 0 ? [] : scan.rows.blocks) {
    const [entry, place] = scan.read(where) ?? [];
    const name = `${entry}/${place}`;
    if (typeof entry === "number" && entries.has(entry) && !blocks.has(name)) blocks.set(name, where);
  }
  return (entry) => {
    const rows: JournalRow[] = [];
    let isEnded = false;
    for (let place = 0; ; place++) {
      const where = blocks.get(`${entry}/${place}`);
      const more = where === undefined ? null : rowsOf(scan, where);
      if (more === null || more.some(({ seq }, i) => seq !== rows.length + i)) return { rows, behind: 0, isEnded };
      for (const row of more) rows.push(row);
      isEnded = rows.at(-1)?.kind === "end";
    }
  };
}

function rowsOf(scan: Scan, where: Where): JournalRow[] | null {
  const [, , bytes, hash] = scan.read(where) ?? [];
  if (!(bytes instanceof Uint8Array && hash instanceof Uint8Array)) return null;
  try {
    return unpackHeadless(bytes, hash).map(rowOf);
  } catch {
    return null;
  }
}
