import { basename } from "node:path";
import { lastValueFrom, tap } from "rxjs";
import { findDriver } from "../../drivers/index.ts";
import type { Driver } from "../core/driver.ts";
import { EXIT, type ExitCode, usageError } from "../core/errors.ts";
import type { JournalEvent } from "../core/journal.ts";
import { limitsFor } from "../core/methods/index.ts";
import { JUDGE_VERSION, type RecordStart, type Verdict } from "../core/record.ts";
import { readReadingsCsv } from "../intake/readingsCsv.ts";
import { QueueClock } from "../links/queueClock.ts";
import { CURVE_LINE, curveEvents, recordedLink } from "../links/recorded.ts";
import { runSession } from "../session/session.ts";
import { readJournal } from "../storage/journal.ts";
import { openArchive } from "../storage/open.ts";
import { findRecord } from "../storage/records.ts";
import type { Command, Context } from "./command.ts";
import { driverOf } from "./gauge.ts";
import { exitOf, gaugeFrom, ruleFrom } from "./judge.ts";
import { limitsFrom, methodFrom, pipeFrom, readNamed, type SectionWords, sectionOptions } from "./section.ts";
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

/** A recording ready to be played. */
interface Played {
  start: RecordStart;
  driver: Driver;
  events: Iterable<JournalEvent>;
  /** A record carries its own timers and end, a CSV does not. */
  recorded: boolean;
  /** What it was judged to be; `null` for a CSV, or when another method or rule is asked for. */
  before: Verdict | null;
}

const isCsv = (what: string): boolean => what === "-" || /\.csv$/i.test(what) || /[\\/]/.test(what);

async function fromCsv(options: ReplayOptions, { io, program }: Context): Promise<Played> {
  if (options.method === undefined) {
    throw usageError(
      "method-missing",
      "A CSV says nothing of the method it was recorded for.",
      "Add --method, such as --method en1610-la --dn 150.",
    );
  }
  const limits = await limitsFrom(options.method, pipeFrom(options), io);
  const { curve, notes } = await readNamed(options.what, io, readReadingsCsv);
  for (const note of notes) io.err(`staunch: ${note}`);
  const { dn_mm, material, laid_length_m } = limits;
  const gauge = {
    ...gaugeFrom(`file:${basename(options.what)}`, options.resolution, options.accuracy),
    protocol: "line",
    driverOptions: { ...CURVE_LINE },
  };
  const start: RecordStart = {
    id: "",
    started_wall_ms: 0,
    source: "imported",
    section: { id: basename(options.what), dn_mm, material, laid_length_m },
    stage: "laid",
    tester: null,
    rule: ruleFrom(options.rule ?? "simple"),
    strict: false,
    limits,
    gauge,
    program,
    judge_version: JUDGE_VERSION,
  };
  return { start, driver: findDriver("line").create(gauge.driverOptions), events: curveEvents(curve, 0), recorded: false, before: null };
}

async function fromArchive(options: ReplayOptions, { io, archive: path }: Context): Promise<Played> {
  const archive = openArchive(path, { mode: "read" });
  try {
    const { number, start, end } = findRecord(archive, options.what);
    const told = await whatIf(start, options, io);
    const before = told === start ? (end?.verdict ?? null) : null;
    return { start: told, driver: driverOf(start.gauge), events: readJournal(archive, number), recorded: true, before };
  } finally {
    archive.close();
  }
}

/** The same record under another method, section or rule; the very same start when nothing else is asked for. */
async function whatIf(start: RecordStart, options: ReplayOptions, io: Context["io"]): Promise<RecordStart> {
  const pipe = pipeFrom(options);
  const other = options.method !== undefined || options.rule !== undefined || Object.values(pipe).some((value) => value != null);
  if (!other) return start;
  const { dn_mm, material, laid_length_m, ...told } = pipe;
  const size = {
    dn_mm: dn_mm ?? start.limits.dn_mm,
    material: material ?? start.limits.material,
    laid_length_m: laid_length_m ?? start.limits.laid_length_m,
  };
  // What was told of the section then still holds under another method; new words need the figures worked out again.
  const again = options.method ?? (Object.keys(told).length > 0 ? start.limits.method.id : undefined);
  const before = start.limits.water === undefined ? {} : { water: start.limits.water.plan };
  const limits =
    again === undefined
      ? { ...start.limits, ...size }
      : limitsFor(await methodFrom(again, io), { ...before, ...start.limits.told, ...told, ...(size as ReturnType<typeof pipeFrom>) });
  return { ...start, limits, rule: options.rule === undefined ? start.rule : ruleFrom(options.rule) };
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
    const played = isCsv(options.what) ? await fromCsv(options, context) : await fromArchive(options, context);
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
