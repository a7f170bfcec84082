import { closeSync, existsSync, fsyncSync, linkSync, lstatSync, openSync, realpathSync, renameSync, rmSync } from "node:fs";
import { dirname } from "node:path";
import { dataError, usageError } from "../core/errors.ts";
import { hasLog } from "./sqlite.ts";
import { archiveError } from "./trouble.ts";

/** Refuses a place for a new file. `not`: files that must never be replaced. StaunchErrors `file-exists`, `same-file`, `no-plain-file` (64), `file-in-use` (65). */
export function checkPlace(path: string, not: readonly string[], force: boolean): void {
  // Asked of the name itself: a link that leads nowhere is there too.
  const there = lstatSync(path, { throwIfNoEntry: false });
  if (there === undefined) return;
  if (existsSync(path) && not.some((other) => existsSync(other) && realpathSync(other) === realpathSync(path)))
    throw usageError("same-file", `${path} is the file that is read.`, "Name another file after -o.");
  if (!force)
    throw usageError("file-exists", `${path} is there already and is never replaced unasked.`, "Name another file, or add --force.");
  // A link is replaced, never what it leads to.
  if (!there.isFile() && !there.isSymbolicLink())
    throw usageError("no-plain-file", `${path} is a folder, pipe or device and is never replaced.`, "Name a file after -o.");
  if (hasLog(path))
    throw dataError(
      "file-in-use",
      `${path} is an archive that was not closed cleanly or is in use; it is not replaced.`,
      "Name another file.",
    );
}

/** Puts a whole file made beside `path` in its place, forced to disk. */
export function placeFile(made: string, path: string, force: boolean): void {
  try {
    sync(made);
    if (force) renameSync(made, path);
    else link(made, path);
    sync(dirname(path));
  } catch (error) {
    throw archiveError(error, path);
  }
}

/** Unlike a rename a link never takes the place of a file that came meanwhile; a memory card may know no links. */
function link(made: string, path: string): void {
  try {
    linkSync(made, path);
  } catch {
    checkPlace(path, [], false);
    renameSync(made, path);
    return;
  }
  rmSync(made);
}

function sync(path: string): void {
  try {
    const handle = openSync(path, "r");
    fsyncSync(handle);
    closeSync(handle);
  } catch {
    // Some systems do not let a folder be opened, or a file that is only read be forced; theirs is to keep it.
  }
}
