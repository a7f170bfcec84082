import { join } from "node:path";
import { explain, runWords } from "../../src/commands/frame.ts";
import { COMMANDS } from "../../src/commands/index.ts";
import { ended, ioAt, NOON_ms, type Ran } from "./gaugeCommand.ts";
import type { TestIo, TestIoParts } from "./io.ts";

/** Where one machine of a test keeps its things. */
export interface Machine {
  folder: string;
  archive: string;
  key: string;
}

export const machineIn = (folder: string): Machine => ({
  folder,
  archive: join(folder, "site.staunch"),
  key: join(folder, "key", "private.pem"),
});

export interface RunParts extends TestIoParts {
  /** Time of day at which it is started. */
  wall_ms?: number;
  /** Virtual milliseconds between two looks. */
  step_ms?: number;
  /** Called at each of them. */
  tick?: (io: TestIo) => void;
}

/** A whole command line as main.ts runs it, errors told and all, in this process on virtual time. */
export async function staunch({ folder, archive, key }: Machine, words: readonly string[], parts: RunParts = {}): Promise<Ran> {
  const { wall_ms = NOON_ms, step_ms = 10, tick, ...rest } = parts;
  const io = ioAt(wall_ms, { ...rest, env: { STAUNCH_ARCHIVE: archive, STAUNCH_KEY: key, ...rest.env } });
  // Virtual time would run on while a command is read from disk for the first time.
  for (const { load } of COMMANDS) await load();
  const program = { version: "0.0.0", commands: COMMANDS, defaultArchive: async () => join(folder, "archive.sqlite") };
  const running = runWords(words, io, program).catch((error: unknown) => {
    const { text, exit } = explain(error, io.env);
    io.err(text);
    return exit;
  });
  return ended(io, running, step_ms, tick);
}
