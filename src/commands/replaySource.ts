import { basename } from "node:path";
import { findDriver } from "../../drivers/index.ts";
import type { Driver } from "../core/driver.ts";
import { usageError } from "../core/errors.ts";
import type { JournalEvent } from "../core/journal.ts";
import { JUDGE_VERSION, type RecordStart, type Verdict } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { readReadingsCsv } from "../intake/readingsCsv.ts";
import { CURVE_LINE, curveEvents } from "../links/recorded.ts";
import { readJournal } from "../storage/journal.ts";
import { type Archive, openArchive } from "../storage/open.ts";
import { findRecord, listRecords } from "../storage/records.ts";
import type { Context } from "./command.ts";
import { gaugeFrom, ruleFrom } from "./judge.ts";
import type { ReplayOptions } from "./replay.ts";
import { asIs, changed, unfilteredFrom } from "./replayWhatIf.ts";
import { limitsFrom, pipeFrom, readNamed } from "./section.ts";
import { driverOfStart } from "./testBeside.ts";

/** A recording ready to be played. */
export interface Played {
  /** What it is to be judged as. */
  start: RecordStart;
  /** What it was recorded as; the same object when nothing else is asked for, and for a CSV. */
  recordedStart: RecordStart;
  unfiltered: boolean;
  /** What is other than it was recorded, in words; empty: nothing. */
  changes: readonly string[];
  driver: Driver;
  events: Iterable<JournalEvent>;
  /** A record carries its own timers and end, a CSV does not. */
  recorded: boolean;
  /** What it was judged to be when it was recorded; `null` for a CSV and for a test that was broken off. */
  before: Verdict | null;
}

/** An archive or a handover, by its name. */
const isArchive = (what: string): boolean => /\.staunch$/i.test(what);

/** A file of readings, or else a record of the archive. */
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
  const driver = findDriver("line").create(gauge.driverOptions);
  return { ...asIs(start, options), driver, events: curveEvents(curve, 0), recorded: false, before: null };
}

async function fromArchive(path: string, wanted: string | undefined, options: ReplayOptions, { io }: Context): Promise<Played> {
  const archive = openArchive(path, { mode: "read" });
  try {
    const { number, start, end } = findRecord(archive, wanted ?? onlyRecord(archive));
    const what = await changed(start, options, io);
    return {
      ...what,
      unfiltered: unfilteredFrom(options, start),
      driver: driverOfStart(start),
      events: readJournal(archive, number),
      recorded: true,
      before: end?.verdict ?? null,
    };
  } finally {
    archive.close();
  }
}

/** A handover of one record need not be told which. */
function onlyRecord(archive: Archive): string {
  const lines = listRecords(archive, { limit: 4 });
  if (lines.length < 2) return "last";
  throw usageError(
    "record-missing",
    `${plainText(archive.path)} holds more than one record.`,
    `Name one after the file: ${lines.map(({ id }) => plainText(id, 40)).join(", ")}, or last.`,
  );
}

/** Whatever was named, ready to be played. StaunchErrors of files, archives, records and methods. */
export function playedFrom(options: ReplayOptions, context: Context): Promise<Played> {
  const { what, record } = options;
  if (isArchive(what)) return fromArchive(what, record, options, context);
  if (record !== undefined)
    throw usageError(
      "file-unfit",
      `${JSON.stringify(plainText(what, 60))} is no archive.`,
      "A record is named after a file ending in .staunch.",
    );
  return isCsv(what) ? fromCsv(options, context) : fromArchive(context.archive, what, options, context);
}
