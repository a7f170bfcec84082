import type { ExitCode } from "../core/errors.ts";
import type { Io } from "./io.ts";

/** What main hands to every command beside its own options. */
export interface Context {
  io: Io;
  /** Path of the archive: `--archive`, else STAUNCH_ARCHIVE, else the platform's data directory. Not created yet. */
  archive: string;
  /** Path of this machine's private key: STAUNCH_KEY, else in the platform's data directory. Absent: nothing is sealed. */
  key?: string;
  /** Folder of gauges described in files, NAME.toml, in the platform's data directory. Absent: none is looked for. */
  gaugesFolder?: string;
  /** Name and version, as kept in records: "staunch 0.1.0". */
  program: string;
}

/**
 * A command: one file, one name. `parse` and `run` are apart so that a test calls `run` with plain options.
 * Neither catches errors: main alone turns them into a message and an exit code.
 */
export interface Command<O = unknown> {
  /** Words after the command's name → options. A StaunchError (64) for wrong words; `null` when help was asked for and printed. */
  parse(words: readonly string[], io: Io): O | null;
  run(options: O, context: Context): Promise<ExitCode>;
}

/** One line of the list: what `staunch --help` needs, without loading the command. */
export interface CommandEntry {
  name: string;
  summary: string;
  load(): Promise<Command>;
}
