import { randomBytes } from "node:crypto";
import { rmSync } from "node:fs";
import { resolve } from "node:path";
import { type Archive, openArchive } from "./open.ts";
import { checkPlace, placeFile } from "./placeFile.ts";
import { guarded } from "./trouble.ts";

/** Pages of a file with a few records: an archive of one has some thirty tables and indexes, each of which takes a page at least. */
const SMALL_PAGE = 1024;
const PAGE = 4096;
/** Above so many bytes large pages are quicker and cost nothing. */
const SMALL_BYTES = 1 << 20;

export interface Placing {
  /** Files that must not be replaced. */
  not: readonly string[];
  force: boolean;
}

/**
 * Makes a new archive at `path`, filled by `fill`, as small as it can be and in rollback-journal mode, so that it opens where nothing can be
 * written. It appears under its name only when it is whole. StaunchErrors as of `checkPlace`, and 74 for what the disk refuses.
 */
export function makeArchive<T>(path: string, { not, force }: Placing, fill: (archive: Archive) => T): T {
  const full = resolve(path);
  checkPlace(full, not, force);
  const made = `${full}.part-${randomBytes(4).toString("hex")}`;
  try {
    const filled = fillNew(made, full, fill);
    placeFile(made, full, force);
    return filled;
  } finally {
    for (const end of ["", "-wal", "-shm", "-journal"]) rmSync(`${made}${end}`, { force: true });
  }
}

function fillNew<T>(made: string, path: string, fill: (archive: Archive) => T): T {
  const archive = openArchive(made, { mode: "write" });
  try {
    return guarded(path, () => {
      const filled = archive.db.transaction(() => fill(archive)).immediate();
      shrink(archive);
      return filled;
    });
  } finally {
    archive.close();
  }
}

function shrink({ db }: Archive): void {
  const bytes = Number(db.pragma("page_count", { simple: true })) * Number(db.pragma("page_size", { simple: true }));
  db.pragma("journal_mode = DELETE");
  db.pragma(`page_size = ${bytes <= SMALL_BYTES ? SMALL_PAGE : PAGE}`);
  db.exec("vacuum");
}
