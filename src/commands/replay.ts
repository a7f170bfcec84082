import { lastValueFrom, tap } from "rxjs";
import { EXIT, type ExitCode, usageError } from "../core/errors.ts";
import type { Verdict } from "../core/record.ts";
import { QueueClock } from "../links/queueClock.ts";
import { recordedLink } from "../links/recorded.ts";
import { runSession } from "../session/session.ts";
import type { Command, Context } from "./command.ts";
import { exitOf } from "./judge.ts";
import { type Played, playedFrom } from "./replaySource.ts";
import { type SectionWords, sectionOptions } from "./section.ts";
import { PlainTest } from "./testOutput.ts";
import { differences } from "./verdictDifferences.ts";
import { commandLine, readWords } from "./words.ts";

/** Words as they were given; they are read when the command runs. */
export interface ReplayOptions extends SectionWords {
  what: string;
  method?: string;
  rule?: string;
  resolution?: string;
  accuracy?: string;
  speed?: string;
  plain?: boolean;
  json?: boolean;
  events?: boolean;
}

function parse(words: readonly string[], io: Parameters<Command["parse"]>[1]): ReplayOptions | null {
  const line = commandLine("replay", "Plays a record, or a CSV of readings, through the judge again and compares the verdict.", [
    "staunch replay last --plain",
    "staunch replay recording.csv --method en1610-la --dn 150 --plain",
  ]);
  let chosen: ReplayOptions | null = null;
  sectionOptions(line)
    .argument("<record or file>", 'a record\'s id, "last", or a CSV of readings')
    .option("--method <id or file>", "judge it by another method, without changing anything; needed for a CSV")
    .option("--rule <name>", "simple or guarded")
    .option("--resolution <pressure>", 'smallest step of the gauge of a CSV: "1 Pa"')
    .option("--accuracy <error>", 'its error: "0.1 %" of the reading, or "2 Pa"')
    .option("--speed <n>", "so many times life speed; left out, as fast as it goes")
    .option("--plain", "lines instead of a screen")
    .option("--json", "one JSON object at the end")
    .option("--events", "JSON lines as they happen")
    .action((what: string, options: Omit<ReplayOptions, "what">) => {
      chosen = { what, ...options };
    });
  return readWords(line, words, io) ? chosen : null;
}

function paceOf(options: ReplayOptions, io: Context["io"]): { pace: { factor: number; clock: Context["io"]["clock"] } } | object {
  if (options.speed === undefined) return {};
  const factor = Number(options.speed);
  if (factor > 0 && factor <= 100_000) return { pace: { factor, clock: io.clock } };
  throw usageError(
    "speed-unreadable",
    `${JSON.stringify(options.speed.slice(0, 40))} is no speed.`,
    "Write a number such as 10, up to 100000.",
  );
}

/** Says whether the verdict came out as recorded; the exit code is 1 when it did not. */
function compare(played: Played, verdict: Verdict, io: Context["io"], say: (text: string) => void): ExitCode {
  const { before } = played;
  if (before === null) return exitOf(verdict.verdict);
  const parted = differences(before, verdict);
  if (parted.length === 0) say("replay: the verdict is the recorded one, to the last digit");
  else if (before.judge_version !== verdict.judge_version) {
    io.err(`staunch: judged differently now (judge ${verdict.judge_version}, recorded by ${before.judge_version}): ${parted.join("; ")}.`);
  } else {
    io.err(`staunch: the verdict is not the recorded one: ${parted.join("; ")}.`);
    return EXIT.fail;
  }
  return exitOf(verdict.verdict);
}

export const replay: Command<ReplayOptions> = {
  parse,
  async run(options, context) {
    const { io } = context;
    const pace = paceOf(options, io);
    const played = await playedFrom(options, context);
    const { start, driver, events, recorded } = played;
    const quiet = options.json === true && options.events !== true;
    const plain = new PlainTest(io, start, { json: options.json === true, events: options.events === true });
    const link = recordedLink(events, {
      clock: new QueueClock(start.started_wall_ms),
      source: start.source,
      describe: options.what,
      ...pace,
    });
    if (!quiet) plain.opening([]);
    const last = await lastValueFrom(
      runSession({ link, driver, start, recorded, journal: () => undefined }).pipe(
        tap((update) => {
          if (!quiet) plain.update({ ...update.judge.view(update.event.at_ms), verdict: null }, update.turns);
        }),
      ),
    );
    const { verdict } = last.judge;
    if (verdict === null) throw new Error("a recording ended without a verdict");
    if (options.json) io.out(JSON.stringify(verdict));
    else plain.verdict(verdict);
    return compare(played, verdict, io, (text) => (options.json || options.events ? io.err(text) : io.out(text)));
  },
};
