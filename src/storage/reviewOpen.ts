import { closeSync, openSync, readSync } from "node:fs";
import { isStaunchError } from "../core/errors.ts";
import { type Archive, openArchive } from "./open.ts";

/**
 * An archive for a supervisor: to write where that may be, else to look at. One in rollback-journal mode was cut out to be given away and is
 * left as it is. StaunchErrors as of `openArchive`.
 */
export function openForReview(path: string): Archive {
  const reading = openArchive(path, { mode: "read" });
  if (isGivenAway(reading.path)) return reading;
  try {
    const writing = openArchive(path, { mode: "write" });
    reading.close();
    return writing;
  } catch (error) {
    if (isStaunchError(error) && error.code !== "archive-damaged") return reading;
    reading.close();
    throw error;
  }
}

/** SQLite's file format, 1.3: byte 18 is 1 for a rollback journal, 2 for a write-ahead log. */
function isGivenAway(path: string): boolean {
  const file = openSync(path, "r");
  try {
    const header = new Uint8Array(20);
    return readSync(file, header, 0, 20, 0) === 20 && header[18] === 1;
  } finally {
    closeSync(file);
  }
}
