import { existsSync, realpathSync } from "node:fs";
import { EXIT, type ExitCode, isStaunchError, type StaunchError, usageError } from "../core/errors.ts";
import { plainJson } from "../core/text.ts";
import { openForeign } from "../storage/foreign.ts";
import { type Merged, merge as mergeFrom } from "../storage/merge.ts";
import { type Archive, openArchive } from "../storage/open.ts";
import type { Command } from "./command.ts";
import { errorLines, mergedLines } from "./mergeWords.ts";
import { commandLine, readWords } from "./words.ts";

export interface MergeOptions {
  files: string[];
  takeAltered?: boolean;
  json?: boolean;
}

function parse(words: readonly string[], io: Parameters<Command["parse"]>[1]): MergeOptions | null {
  const line = commandLine(
    "merge",
    "Takes the records of handovers and other archives in. Seals are kept as they are; what is here already is not taken twice, and what was altered is " +
      "refused and named. A seal says that a record was not altered since, not by whom: see whose keys they are with verify.",
    ["staunch merge mill-lane.staunch", "staunch --archive office.staunch merge crew-a.staunch crew-b.staunch"],
  );
  let chosen: MergeOptions | null = null;
  line
    .argument("<files...>", "handovers or archives; they are read and never changed")
    .option("--take-altered", "take what is not as it was sealed too, marked as such")
    .option("--json", "one JSON object")
    .action((files: string[], options: Omit<MergeOptions, "files">) => {
      chosen = { files, ...options };
    });
  return readWords(line, words, io) ? chosen : null;
}

/** What came of one file; a file that is refused as a whole keeps no other from being taken. */
type FileReport = { file: string; error: null } & Merged;
type FileFailure = { file: string; error: StaunchError };

function openFile(file: string, archive: Archive): Archive | StaunchError {
  try {
    return openForeign(file, archive.path);
  } catch (error) {
    if (isStaunchError(error)) return error;
    throw error;
  }
}

/** What goes wrong after a file was found good (a full disk, a card pulled out) stops the command; what is taken stays taken. */
function takeFile(archive: Archive, file: string, takeAltered: boolean, wall_ms: number): FileReport | FileFailure {
  const from = openFile(file, archive);
  if (isStaunchError(from)) return { file, error: from };
  try {
    return { file, error: null, ...mergeFrom(archive, from, { takeAltered, wall_ms }) };
  } finally {
    from.close();
  }
}

function exitOf(reports: readonly (FileReport | FileFailure)[]): ExitCode {
  for (const { error } of reports) if (error !== null) return error.exit;
  return reports.some((report) => report.error === null && report.refused.length > 0) ? EXIT.fail : EXIT.pass;
}

function jsonOf(report: FileReport | FileFailure): object {
  if (report.error === null) return report;
  const { code, message, hint } = report.error;
  return { file: report.file, error: { code, message, hint } };
}

function refuseItself(files: readonly string[], path: string): void {
  const own = existsSync(path) ? realpathSync(path) : path;
  const itself = files.find((file) => existsSync(file) && realpathSync(file) === own);
  if (itself !== undefined)
    throw usageError("same-file", `${itself} is the archive itself.`, "Name the files to take in; --archive says where they go.");
}

export const merge: Command<MergeOptions> = {
  parse,
  async run({ files, takeAltered = false, json = false }, { io, archive: path }) {
    refuseItself(files, path);
    const archive = openArchive(path, { mode: "write" });
    try {
      const reports: (FileReport | FileFailure)[] = [];
      for (const file of files) {
        const report = takeFile(archive, file, takeAltered, io.clock.wall_ms());
        reports.push(report);
        if (report.error !== null) for (const line of errorLines(report.error)) io.err(line);
        else if (!json) for (const line of mergedLines(file, report)) io.out(line);
      }
      if (json) io.out(plainJson({ schema: "staunch/merged/1", archive: archive.path, id: archive.id, files: reports.map(jsonOf) }));
      return exitOf(reports);
    } finally {
      archive.close();
    }
  },
};
