import { lastValueFrom, tap } from "rxjs";
import { usageError } from "../core/errors.ts";
import type { Verdict } from "../core/record.ts";
import { QueueClock } from "../links/queueClock.ts";
import { recordedLink } from "../links/recorded.ts";
import { runSession } from "../session/session.ts";
import type { Command, Context } from "./command.ts";
import { compared, verdictJson } from "./replayCompare.ts";
import { CLEARED, replayOnScreen } from "./replayScreen.ts";
import { cautionsOf, type Played, playedFrom } from "./replaySource.ts";
import { type SectionWords, sectionOptions } from "./section.ts";
import { PlainTest } from "./testOutput.ts";
import { commandLine, each, readWords } from "./words.ts";

/** Words as they were given; they are read when the command runs. */
export interface ReplayOptions extends SectionWords {
  what: string;
  /** A record of the archive that `what` names. */
  record?: string;
  method?: string;
  rule?: string;
  tolerance?: string;
  unfiltered?: boolean;
  resolution?: string;
  accuracy?: string;
  speed?: string;
  trust?: string[];
  plain?: boolean;
  json?: boolean;
  events?: boolean;
}

function parse(words: readonly string[], io: Parameters<Command["parse"]>[1]): ReplayOptions | null {
  const line = commandLine("replay", "Plays a record, or a CSV of readings, through the judge again and compares the verdict.", [
    "staunch replay last",
    'staunch replay last --plain --rule guarded --tolerance "3 %"',
    "staunch replay handed-over.staunch 20261125-101502-k3f9",
    "staunch replay recording.csv --method en1610-la --dn 150 --plain",
  ]);
  let chosen: ReplayOptions | null = null;
  sectionOptions(line)
    .argument("<record or file>", 'a record\'s id, "last", a CSV of readings, or an archive ending in .staunch')
    .argument("[record]", "which record of that archive; not needed when it holds one")
    .option("--method <id or file>", "judge it by another method, without changing anything; needed for a CSV")
    .option("--rule <name>", "what if: simple or guarded")
    .option("--tolerance <size>", 'what if: other band about the test pressure in which the clock may start, "3 %" or "2 mbar"')
    .option("--unfiltered", "what if: spikes left in")
    .option("--resolution <pressure>", 'smallest step of the gauge of a CSV: "1 Pa"')
    .option("--accuracy <error>", 'its error: "0.1 %" of the reading, or "2 Pa"')
    .option("--speed <n>", "so many times life speed (the screen: 1 to 1000); left out, the screen plays at life speed, lines come at once")
    .option("--trust <key>", "a fingerprint or a file with a public key whose seal is good; may be given again", each)
    .option("--plain", "lines instead of a screen")
    .option("--json", "one JSON object at the end")
    .option("--events", "JSON lines as they happen")
    .addHelpText("after", SCREEN_KEYS)
    .action((what: string, record: string | undefined, options: Omit<ReplayOptions, "what" | "record">) => {
      chosen = { what, ...(record === undefined ? {} : { record }), ...options };
    });
  return readWords(line, words, io) ? chosen : null;
}

const SCREEN_KEYS = `
Keys of the screen:
  space       play, pause           + -         faster, slower (1 to 1000 times)
  left right  a second              [ ]         a reading
  p n         an event              Home End    the ends
  g           go to a typed time    b           bytes of the gauge line
  v           figures, recorded and now, and what lies between
  r u         what if: the other rule, spikes left in
  w           as recorded, or what if
  e           the verdict, had it been stopped here
  down        next page of text     ?           these keys
  q           leave`;

function speedOf({ speed }: ReplayOptions): number | null {
  if (speed === undefined) return null;
  const factor = Number(speed);
  if (factor > 0 && factor <= 100_000) return factor;
  throw usageError("speed-unreadable", `${JSON.stringify(speed.slice(0, 40))} is no speed.`, "Write a number such as 10, up to 100000.");
}

function paceOf(options: ReplayOptions, { clock }: Context["io"]): { pace?: { factor: number; clock: Context["io"]["clock"] } } {
  const factor = speedOf(options);
  return factor === null ? {} : { pace: { factor, clock } };
}

/** Every line of it as it comes, without a screen. */
async function inLines(played: Played, plain: PlainTest, options: ReplayOptions, io: Context["io"]): Promise<Verdict | null> {
  const { start, driver, events, recorded, unfiltered } = played;
  const quiet = options.json === true && options.events !== true;
  const link = recordedLink(events, {
    clock: new QueueClock(start.started_wall_ms),
    source: start.source,
    describe: options.what,
    ...paceOf(options, io),
  });
  if (!quiet) plain.opening(cautionsOf(start));
  const last = await lastValueFrom(
    runSession({ link, driver, start, recorded, unfiltered, journal: () => undefined }).pipe(
      tap((update) => {
        if (!quiet) plain.update({ ...update.judge.view(update.event.at_ms), verdict: null }, update.turns);
      }),
    ),
  );
  return last.judge.verdict;
}

export const replay: Command<ReplayOptions> = {
  parse,
  async run(options, context) {
    const { io } = context;
    const speed = speedOf(options);
    const data = options.json === true || options.events === true;
    const say = (text: string): void => (data ? io.err(text) : io.out(text));
    const terminal = options.plain === true || data ? null : io.terminal;
    // A long record is read for some seconds.
    terminal?.stdout.write("Reading …");
    const played = await playedFrom(options, context).finally(() => terminal?.stdout.write(CLEARED));
    const wants = { json: options.json === true, events: options.events === true, whatIf: played.changes };
    const plain = new PlainTest(io, played.start, wants);
    if (played.seal !== null) say(played.seal.sentence);
    const verdict =
      terminal === null ? await inLines(played, plain, options, io) : (await replayOnScreen(played, terminal, io, speed ?? 1)).verdict;
    if (verdict === null) throw new Error("a recording ended without a verdict");
    if (options.json) io.out(verdictJson(played, verdict));
    else plain.verdict(verdict);
    return compared(played, verdict, { io, say, seen: terminal !== null });
  },
};
