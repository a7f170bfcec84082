import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { findDriver } from "../../drivers/index.ts";
import type { Driver } from "../core/driver.ts";
import { EXIT, StaunchError, usageError } from "../core/errors.ts";
import type { JournalEvent } from "../core/journal.ts";
import { JUDGE_VERSION, type RecordStart, type Verdict } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { readReadingsCsv } from "../intake/readingsCsv.ts";
import { CURVE_LINE, curveEvents } from "../links/recorded.ts";
import { readJournal } from "../storage/journal.ts";
import type { Archive } from "../storage/open.ts";
import { openGiven } from "../storage/openGiven.ts";
import { findRecord, listRecords } from "../storage/records.ts";
import type { Context } from "./command.ts";
import { gaugeCautions } from "./gaugeHistory.ts";
import { gaugeFrom, ruleFrom } from "./judge.ts";
import type { ReplayOptions } from "./replay.ts";
import { type SealSeen, sealOf } from "./replaySeal.ts";
import { asIs, changed, changesOf, type WhatIf } from "./replayWhatIf.ts";
import { limitsFrom, pipeFrom, readNamed } from "./section.ts";
import { driverOfStart } from "./testBeside.ts";

/** A recording ready to be played. */
export interface Played extends WhatIf {
  /** `changesOf` it. */
  changes: readonly string[];
  driver: Driver;
  /** Can be gone through more than once. */
  events: Iterable<JournalEvent>;
  /** How many there are. */
  length: number;
  /** A record carries its own timers and end, a CSV does not. */
  recorded: boolean;
  /** What it was judged to be when it was recorded; `null` for a CSV and for a test that was broken off. */
  before: Verdict | null;
  /** How the record stands to its seal; `null` for a CSV. */
  seal: SealSeen | null;
}

/** What the crew was told before charging; a recording from elsewhere tells nothing of its gauge. */
export const cautionsOf = (start: RecordStart): string[] => [
  ...start.limits.cautions,
  ...(start.source === "imported" ? [] : gaugeCautions(start)),
];

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
  for (const note of notes) io.err(`staunch: ${plainText(note)}`);
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
  const asked = asIs(start, options);
  const events = { [Symbol.iterator]: () => curveEvents(curve, 0) };
  const length = curve.time_s.length;
  return { ...asked, changes: changesOf(asked), driver, events, length, recorded: false, before: null, seal: null };
}

async function fromArchive(archive: Archive, wanted: string | undefined, options: ReplayOptions, context: Context): Promise<Played> {
  try {
    const { number, start, end } = findRecord(archive, wanted ?? onlyRecord(archive));
    const seal = await sealOf(archive, start.id, options.trust ?? [], context);
    const events = journalOf(archive, number, start.id, seal);
    const asked = await changed(start, options, context.io);
    const before = end?.verdict ?? null;
    const { length } = events;
    return { ...asked, changes: changesOf(asked), driver: driverOfStart(start), events, length, recorded: true, before, seal };
  } finally {
    archive.close();
  }
}

/** A journal that cannot be read because it was altered is told as that. */
function journalOf(archive: Archive, number: number, id: string, seal: SealSeen): JournalEvent[] {
  try {
    return readJournal(archive, number);
  } catch (cause) {
    if (seal.standing !== "altered") throw cause;
    throw new StaunchError({
      code: "record-altered",
      message: `Record ${plainText(id, 40)} cannot be played: ${seal.what}.`,
      hint: `It is not what was sealed. Look at the whole with: staunch verify ${plainText(archive.path, 200)}`,
      exit: EXIT.fail,
      cause,
    });
  }
}

/** Copies, where one is needed, are made where temporary files are. */
const given = (path: string, { archive }: Context): Archive => openGiven(path, archive, join(tmpdir(), "staunch"));

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
  if (isArchive(what)) return fromArchive(given(what, context), record, options, context);
  if (record !== undefined)
    throw usageError(
      "file-unfit",
      `${JSON.stringify(plainText(what, 60))} is no archive.`,
      "A record is named after a file ending in .staunch.",
    );
  return isCsv(what) ? fromCsv(options, context) : fromArchive(given(context.archive, context), what, options, context);
}
