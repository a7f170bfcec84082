import { dirname, join } from "node:path";
import { EXIT, type ExitCode, StaunchError, usageError } from "../core/errors.ts";
import { nearest } from "../core/nearest.ts";
import { plainText } from "../core/text.ts";
import type { CommandEntry } from "./command.ts";
import type { Io } from "./io.ts";

/** What the frame is told about the program and the machine. */
export interface Program {
  /** "0.1.0" */
  version: string;
  commands: readonly CommandEntry[];
  /** The platform's own place for the archive; this machine's key lies in a folder beside it. */
  defaultArchive(): Promise<string>;
}

interface Words {
  archive: string | undefined;
  ask: "help" | "version" | null;
  command: string | undefined;
  rest: readonly string[];
}

/** Global options stand before the command's name; `--archive` is taken after it too, because crews will write it there. */
function splitWords(words: readonly string[]): Words {
  const found: {
    archive: string | undefined;
    ask: Words["ask"];
    command: string | undefined;
    rest: string[];
  } = {
    archive: undefined,
    ask: null,
    command: undefined,
    rest: [],
  };
  for (let i = 0; i < words.length; i++) {
    const word = words[i] ?? "";
    if (word === "--") {
      found.rest.push(...words.slice(i));
      break;
    }
    if (word === "--archive" || word.startsWith("--archive=")) {
      const value = word === "--archive" ? words[++i] : word.slice("--archive=".length);
      if (value === undefined || value === "")
        throw usageError("option-missing-argument", "--archive names no file.", 'Write the path after it: "--archive site.staunch".');
      found.archive = value;
    } else if (found.command !== undefined) found.rest.push(word);
    else if (word === "-h" || word === "--help" || word === "help") found.ask = "help";
    else if (word === "-V" || word === "--version") found.ask = "version";
    else if (word.startsWith("-")) throw unknownWord("option", word, ["--archive", "--help", "--version"]);
    else found.command = word;
  }
  return found;
}

function unknownWord(kind: "option" | "command", word: string, known: readonly string[]): StaunchError {
  const near = nearest(word, known);
  const hint = near === undefined ? "See: staunch --help" : `Did you mean ${near}? See: staunch --help`;
  return usageError(`unknown-${kind}`, `There is no ${kind} ${JSON.stringify(plainText(word, 40))}.`, hint);
}

function help(program: Program): string {
  const width = Math.max(...program.commands.map(({ name }) => name.length), 9);
  const lines = program.commands.map(({ name, summary }) => `  ${name.padEnd(width)}  ${summary}`);
  return [
    "Usage: staunch [--archive FILE] COMMAND …",
    "",
    "Proves that a laid drain or sewer is tight: listens to a digital manometer while a",
    "crew does a low-pressure air test, and keeps the curve.",
    "",
    "Commands:",
    ...lines,
    "",
    "Options:",
    "  --archive FILE  where records are kept (default: STAUNCH_ARCHIVE, or this machine's data directory)",
    "  -h, --help      show this; every command has its own",
    "  -V, --version   show the version",
    "",
    "Example:",
    "  staunch methods show en1610-lc --dn 300",
  ].join("\n");
}

/** Runs one command line to its exit code. Throws what the command throws. */
export async function runWords(words: readonly string[], io: Io, program: Program): Promise<ExitCode> {
  const { archive, ask, command, rest } = splitWords(words);
  if (ask === "version") {
    io.out(program.version);
    return EXIT.pass;
  }
  const entry = program.commands.find(({ name }) => name === command);
  if (command !== undefined && entry === undefined)
    throw unknownWord(
      "command",
      command,
      program.commands.map(({ name }) => name),
    );
  if (entry === undefined) {
    io.out(ask === "help" ? help(program) : status(program));
    return EXIT.pass;
  }
  const loaded = await entry.load();
  const options = loaded.parse(ask === "help" ? ["--help", ...rest] : rest, io);
  if (options === null) return EXIT.pass;
  const given = archive ?? (io.env.STAUNCH_ARCHIVE || undefined);
  const usual = await program.defaultArchive();
  return loaded.run(options, {
    io,
    archive: given ?? usual,
    key: io.env.STAUNCH_KEY || join(dirname(usual), "key", "private.pem"),
    gaugesFolder: join(dirname(usual), "gauges"),
    program: `staunch ${program.version}`,
  });
}

const status = (program: Program): string =>
  [
    `staunch ${program.version}: low-pressure air tests of drains and sewers.`,
    `Commands: ${program.commands.map(({ name }) => name).join(", ")}. See: staunch --help`,
  ].join("\n");

const LONGEST_SENTENCE = 1200;

const say = (sentence: string, hint: readonly string[], code: string): string =>
  [
    `staunch: ${plainText(sentence, LONGEST_SENTENCE)}`,
    ...[...hint, `(${code})`].map((line) => `  ${plainText(line, LONGEST_SENTENCE)}`),
  ].join("\n");

/** The sentence a person sees and the exit code a program sees; a defect gets a neutral one, with its stack only on request. */
export function explain(error: unknown, env: Io["env"]): { text: string; exit: ExitCode } {
  if (error instanceof StaunchError) return { text: say(error.message, [error.hint], error.code), exit: error.exit };
  const stack = error instanceof Error ? (error.stack ?? error.message) : String(error);
  const hint = env.STAUNCH_DEBUG
    ? stack.split("\n")
    : ["Set STAUNCH_DEBUG=1 and repeat it to see where. What was recorded so far is kept."];
  return { text: say("something went wrong inside the program.", hint, "defect"), exit: EXIT.defect };
}
