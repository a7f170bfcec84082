import { EXIT, type ExitCode, usageError } from "../core/errors.ts";
import { queryTrouble } from "../core/review/queryTrouble.ts";
import { plainText } from "../core/text.ts";
import { openArchive } from "../storage/open.ts";
import { reviewBook } from "../storage/reviewLines.ts";
import { dayOf } from "../terminal/wall.ts";
import type { Command, Context } from "./command.ts";
import { listText } from "./reviewList.ts";
import { runSay } from "./reviewSay.ts";
import { summaryText } from "./reviewSummary.ts";
import { parseReview, type ReviewOptions } from "./reviewWords.ts";

type Lines = Extract<ReviewOptions, { ask: "list" | "summary" }>;

const QUOTES = "What holds a colon itself goes in quotes: '\"MH3:4\"'. All words: staunch review list --help.";

function runLines(options: Lines, { io, archive: path }: Context): ExitCode {
  const archive = openArchive(path, { mode: "read" });
  try {
    const book = reviewBook(archive, dayOf, io.clock.wall_ms());
    const trouble = queryTrouble(book, options.words.join(" "));
    if (trouble !== null) throw usageError("search-unclear", plainText(trouble, 300), QUOTES);
    const { text, notes } = options.ask === "list" ? listText(archive, book, options) : summaryText(archive, book, options);
    if (text === null) io.err(`No record ${book.size === 0 ? "yet" : "fits"} in ${plainText(path, 300)}.`);
    else io.out(text);
    for (const note of notes) io.err(note);
    return EXIT.pass;
  } finally {
    archive.close();
  }
}

export const review: Command<ReviewOptions> = {
  parse: parseReview,
  async run(options, context) {
    if (options.ask === "say") return runSay(options, context);
    if (options.ask !== "screen") return runLines(options, context);
    if (context.io.terminal === null)
      return runLines({ ask: "list", words: options.words, sort: "newest", limit: 200, json: false }, context);
    const { runReview } = await import("./reviewScreen.ts");
    return runReview(options, context);
  },
};
