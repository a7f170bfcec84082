import { statSync } from "node:fs";
import { EXIT, StaunchError } from "../core/errors.ts";

/** Size and time of a file and its log: when they change while it is read, what was read is no one moment's. */
export const lookOf = (path: string): string =>
  ["", "-wal"]
    .map((end) => statSync(path + end, { throwIfNoEntry: false }))
    .map((found) => `${found?.size} ${found?.mtimeMs}`)
    .join();

/** The error of a file that changed while it was read (74). */
export const beingWritten = (path: string): StaunchError =>
  new StaunchError({
    code: "archive-locked",
    message: `${path} is being written to, so it cannot be read as a whole.`,
    hint: "Wait until the test on it has ended, and try again.",
    exit: EXIT.storage,
  });
