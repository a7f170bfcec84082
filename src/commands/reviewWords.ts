import type { Command as CommandLine } from "commander";
import { usageError } from "../core/errors.ts";
import { SORTS, type Sort } from "../core/review/find.ts";
import { GROUPS, type Group } from "../core/review/summary.ts";
import type { Command } from "./command.ts";
import { commandLine, readWords } from "./words.ts";

/** Words as they were given. */
export type ReviewOptions =
  | { ask: "screen"; words: string[]; by?: string }
  | { ask: "list"; words: string[]; sort: Sort; limit: number; json: boolean }
  | { ask: "summary"; words: string[]; by: Group; json: boolean }
  | { ask: "say"; word: "accept" | "return" | "note"; id: string; by: string; reason: string; json: boolean };

const DEFAULT_LIMIT = 200;

function sortFrom(word: string): Sort {
  const sort = SORTS.find((known) => known === word);
  if (sort !== undefined) return sort;
  throw usageError("sort-unknown", `${JSON.stringify(word.slice(0, 40))} is no order.`, `Known: ${SORTS.join(", ")}.`);
}

function groupFrom(word: string): Group {
  const group = GROUPS.find((known) => known === word);
  if (group !== undefined) return group;
  throw usageError("group-unknown", `${JSON.stringify(word.slice(0, 40))} is nothing to sum up by.`, `Known: ${GROUPS.join(", ")}.`);
}

function limitFrom(word: string): number {
  const limit = Number(word);
  if (Number.isInteger(limit) && limit > 0) return limit;
  throw usageError("limit-unreadable", `${JSON.stringify(word.slice(0, 40))} is no number of records.`, "Write a whole number above 0.");
}

function textFrom(option: string, text: string, isNeeded: boolean): string {
  const said = text.trim();
  if (said === "" && isNeeded)
    throw usageError("review-empty", `${option} says nothing.`, "Write in a few words what you mean; it is sealed.");
  if (said.length <= 2000) return said;
  throw usageError(
    "review-long",
    `${option} is ${said.length} characters long.`,
    "Keep it under 2000 and put the rest into a file of your own.",
  );
}

interface Said {
  by: string;
  reason?: string;
  json?: boolean;
}

const FILTER =
  "words to look for, all of which must fit: pass, fail, void, inconclusive, open; unreviewed, accepted, returned; differs (the second opinion is another); " +
  "simulated, imported; unsealed, altered; a piece of any name, remark or id; or section:S3, stage:covered, verdict:fail, method:en1610, gauge:east, tester:tarn, " +
  'remark:wind, second:void, source:gauge, since:2026-03 or since:7d or 12h ago, until:2026-04-15, date:2026-03-09, "two words", not:pass';

type Choose = (options: ReviewOptions) => void;

/** The words of `review` and its subcommands; `null` when only help was asked for. StaunchErrors (64) for words that cannot be meant. */
export function parseReview(words: readonly string[], io: Parameters<Command["parse"]>[1]): ReviewOptions | null {
  const line = commandLine(
    "review",
    "The supervisor's table of records: search, look at curves, accept or send back; or the same in lines.",
    [
      "staunch review",
      "staunch review list fail unreviewed since:2026-03",
      'staunch review return last --by "M. Reed" --reason "the hose was wet, test again"',
      "staunch review summary --by tester",
    ],
  );
  let chosen: ReviewOptions | null = null;
  const choose: Choose = (options) => {
    chosen = options;
  };
  line
    .enablePositionalOptions()
    .argument("[words...]", FILTER)
    .option("--by <name>", "who reviews; else it is asked for")
    .action((list: string[], { by }: { by?: string }) => choose({ ask: "screen", words: list, ...(by === undefined ? {} : { by }) }));
  addLines(line, choose);
  for (const word of ["accept", "return"] as const) addDecision(line, word, choose);
  addNote(line, choose);
  return readWords(line, words, io) ? chosen : null;
}

function addLines(line: CommandLine, choose: Choose): void {
  line
    .command("list")
    .description("the records that fit, a line each")
    .argument("[words...]", FILTER)
    .option("--sort <order>", SORTS.join(", "), "newest")
    .option("--limit <n>", "at most so many", String(DEFAULT_LIMIT))
    .option("--json", "one JSON object")
    .action((list: string[], { sort, limit, json }: { sort: string; limit: string; json?: boolean }) =>
      choose({ ask: "list", words: list, sort: sortFrom(sort), limit: limitFrom(limit), json: json === true }),
    );
  line
    .command("summary")
    .description(
      "counts of what proves something by tester, gauge (with the drift of its zero), method or week: voids, sections passed at their first test, unreviewed",
    )
    .argument("[words...]", FILTER)
    .option("--by <what>", GROUPS.join(", "), "tester")
    .option("--json", "one JSON object")
    .action((list: string[], { by, json }: { by: string; json?: boolean }) =>
      choose({ ask: "summary", words: list, by: groupFrom(by), json: json === true }),
    );
}

function addDecision(line: CommandLine, word: "accept" | "return", choose: Choose): void {
  line
    .command(`${word} <record>`)
    .description(word === "accept" ? "the record is sound" : "the record is sent back: to be explained, or tested again")
    .requiredOption("--by <name>", "who says so")
    .option("--reason <text>", word === "accept" ? "why, if it is worth saying" : "why; needed")
    .option("--json", "one JSON object")
    .action((id: string, { by, reason, json }: Said) =>
      choose({
        ask: "say",
        word,
        id,
        by: textFrom("--by", by, true),
        reason: textFrom("--reason", reason ?? "", word === "return"),
        json: json === true,
      }),
    );
}

function addNote(line: CommandLine, choose: Choose): void {
  line
    .command("note <record> <text...>")
    .description("a note beside the record")
    .requiredOption("--by <name>", "who says so")
    .option("--json", "one JSON object")
    .action((id: string, text: string[], { by, json }: Said) =>
      choose({
        ask: "say",
        word: "note",
        id,
        by: textFrom("--by", by, true),
        reason: textFrom("the note", text.join(" "), true),
        json: json === true,
      }),
    );
}
