import { basename } from "node:path";
import { findDriver } from "../../drivers/index.ts";
import type { Driver } from "../core/driver.ts";
import { usageError } from "../core/errors.ts";
import type { JournalEvent } from "../core/journal.ts";
import { limitsFor } from "../core/methods/index.ts";
import { JUDGE_VERSION, type RecordStart, type Verdict } from "../core/record.ts";
import { readReadingsCsv } from "../intake/readingsCsv.ts";
import { CURVE_LINE, curveEvents } from "../links/recorded.ts";
import { readJournal } from "../storage/journal.ts";
import { openArchive } from "../storage/open.ts";
import { findRecord } from "../storage/records.ts";
import type { Context } from "./command.ts";
import { driverOf } from "./gauge.ts";
import { gaugeFrom, ruleFrom } from "./judge.ts";
import type { ReplayOptions } from "./replay.ts";
import { limitsFrom, methodFrom, pipeFrom, readNamed } from "./section.ts";

/** A recording ready to be played. */
export interface Played {
  start: RecordStart;
  driver: Driver;
  events: Iterable<JournalEvent>;
  /** A record carries its own timers and end, a CSV does not. */
  recorded: boolean;
  /** What it was judged to be; `null` for a CSV, or when another method or rule is asked for. */
  before: Verdict | null;
}

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

/** Whatever was named, ready to be played. StaunchErrors of files, archives, records and methods. */
export const playedFrom = (options: ReplayOptions, context: Context): Promise<Played> =>
  isCsv(options.what) ? fromCsv(options, context) : fromArchive(options, context);
