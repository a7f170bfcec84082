import { CommanderError, Command as CommandLine } from "commander";
import { usageError } from "../core/errors.ts";
import type { Io } from "./io.ts";

/** A commander command in the house's manner: never exits, examples at the end of its help. */
export function commandLine(name: string, summary: string, examples: readonly string[]): CommandLine {
  return new CommandLine(`staunch ${name}`)
    .description(summary)
    .helpOption("-h, --help", "show this")
    .addHelpText("after", `\nExample${examples.length > 1 ? "s" : ""}:\n${examples.map((line) => `  ${line}`).join("\n")}`);
}

/** For an option that may be given again: all its words in order. */
export const each = (word: string, before: string[] = []): string[] => [...before, word];

function quiet(command: CommandLine, io: Io): void {
  command.exitOverride().configureOutput({
    writeOut: (text) => io.out(text),
    writeErr: () => {},
    getOutHelpWidth: () => io.columns(),
    getOutHasColors: () => false,
  });
  for (const child of command.commands) quiet(child, io);
}

/** commander says "error: unknown option '--dnn'\n(Did you mean --dn?)"; our sentence and hint are made from that. */
function usageFrom(error: CommanderError, line: CommandLine): Error {
  const [first = "", ...rest] = error.message.split("\n");
  const sentence = first.replace(/^error: /, "").replace(/\.?$/, ".");
  const near = /\(Did you mean (?:one of )?(.+)\?\)/.exec(rest.join(" "))?.[1];
  const help = `See: ${line.name()} --help`;
  const code = error.code.replace(/^commander\./, "").replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
  return usageError(
    code,
    `${sentence.charAt(0).toUpperCase()}${sentence.slice(1)}`,
    near === undefined ? help : `Did you mean ${near}? ${help}`,
  );
}

/** Reads the words after a command's name. False when help was asked for and printed; a StaunchError (64) for wrong words. */
export function readWords(line: CommandLine, words: readonly string[], io: Io): boolean {
  quiet(line, io);
  try {
    line.parse(words, { from: "user" });
    return true;
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    if (error.code === "commander.helpDisplayed" || (error.code === "commander.help" && error.exitCode === 0)) return false;
    if (error.code === "commander.help") {
      throw usageError("command-missing", `${line.name()} needs to be told what to do.`, `See: ${line.name()} --help`);
    }
    throw usageFrom(error, line);
  }
}
