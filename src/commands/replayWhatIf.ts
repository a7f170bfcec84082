import { usageError } from "../core/errors.ts";
import { isKeyed } from "../core/judging/water/waterJudge.ts";
import { limitsFor } from "../core/methods/index.ts";
import type { Limits } from "../core/methods/limits.ts";
import { parseMaterial } from "../core/methods/materials.ts";
import type { RecordStart } from "../core/record.ts";
import { parsePressure } from "../core/units.ts";
import type { Context } from "./command.ts";
import { ruleFrom } from "./judge.ts";
import type { ReplayOptions } from "./replay.ts";
import { methodFrom, pipeFrom } from "./section.ts";

/** What is asked for beside what was recorded. */
export interface WhatIf {
  /** What it is to be judged as. */
  start: RecordStart;
  /** What it was recorded as; of a CSV, what its method says. */
  recordedStart: RecordStart;
  unfiltered: boolean;
  /** Method, section and tolerance that are other than recorded, in words; rule and filter are told by `changesOf`. */
  besides: readonly string[];
}

/** All that is other than it was recorded, in words; empty: nothing. */
export const changesOf = ({ start, recordedStart, unfiltered, besides }: WhatIf): string[] => [
  ...besides,
  ...(start.rule === recordedStart.rule ? [] : [`rule ${start.rule}`]),
  ...(unfiltered ? ["unfiltered"] : []),
];

/** `"3 %"` of the test pressure, or `"2 mbar"` → pascal about it. StaunchErrors: `tolerance-unreadable`, and those of pressures. */
function toleranceFrom(text: string, limits: Limits): number {
  const share = /^\s*(\d+(?:\.\d+)?)\s*%\s*$/.exec(text)?.[1];
  const tolerance_Pa = share === undefined ? parsePressure(text) : (Number(share) / 100) * Math.abs(limits.test_Pa);
  if (tolerance_Pa > 0 && tolerance_Pa < Math.abs(limits.test_Pa)) return tolerance_Pa;
  throw usageError(
    "tolerance-unreadable",
    `${JSON.stringify(text.slice(0, 40))} is no tolerance about the test pressure.`,
    'Write a part of it, "3 %", or a pressure, "2 mbar".',
  );
}

const withTolerance = (start: RecordStart, text: string | undefined): RecordStart =>
  text === undefined ? start : { ...start, limits: { ...start.limits, startTolerance_Pa: toleranceFrom(text, start.limits) } };

/** Whether spikes are taken out of such a test at all. */
export const isFiltered = (start: RecordStart): boolean => start.limits.water === undefined && !isKeyed(start);

/** Whether spikes are to be left in. A StaunchError `unfiltered-unfit` where nothing is filtered. */
function unfilteredFrom({ unfiltered }: ReplayOptions, start: RecordStart): boolean {
  if (unfiltered === true && !isFiltered(start))
    throw usageError("unfiltered-unfit", "Only an air test with a gauge is filtered.", "Leave --unfiltered out.");
  return unfiltered === true;
}

const toleranceWords = ({ tolerance }: ReplayOptions): string[] => (tolerance === undefined ? [] : [`tolerance ${tolerance.trim()}`]);

/** A CSV has nothing that it was recorded as; only what goes beyond a method and a rule is a change. */
export const asIs = (start: RecordStart, options: ReplayOptions): WhatIf => ({
  start: withTolerance(start, options.tolerance),
  recordedStart: start,
  unfiltered: unfilteredFrom(options, start),
  besides: toleranceWords(options),
});

/** The same record under another method, section, tolerance or rule; the very same start when nothing else is asked for. */
export async function changed(recordedStart: RecordStart, options: ReplayOptions, io: Context["io"]): Promise<WhatIf> {
  const pipe = pipeFrom(options);
  const resized = Object.values(pipe).some((value) => value != null);
  const limits = options.method === undefined && !resized ? recordedStart.limits : await limitsUnder(recordedStart, options, io);
  const rule = options.rule === undefined ? recordedStart.rule : ruleFrom(options.rule);
  const unfiltered = unfilteredFrom(options, recordedStart);
  const besides = [
    ...(options.method === undefined ? [] : [`method ${limits.method.id}`]),
    ...(resized ? ["section told anew"] : []),
    ...toleranceWords(options),
  ];
  const asked = { recordedStart, unfiltered, besides };
  if (changesOf({ ...asked, start: { ...recordedStart, rule } }).length === 0) return { ...asked, start: recordedStart };
  return { ...asked, start: withTolerance({ ...recordedStart, limits, rule }, options.tolerance) };
}

async function limitsUnder(start: RecordStart, options: ReplayOptions, io: Context["io"]): Promise<Limits> {
  const { dn_mm, material, laid_length_m, ...told } = pipeFrom(options);
  const size = {
    dn_mm: dn_mm ?? start.limits.dn_mm,
    material: material ?? (start.limits.material === null ? null : parseMaterial(start.limits.material)),
    laid_length_m: laid_length_m ?? start.limits.laid_length_m,
  };
  // What was told of the section then still holds under another method; new words need the figures worked out again.
  const again = options.method ?? (Object.keys(told).length > 0 ? start.limits.method.id : undefined);
  if (again === undefined) return { ...start.limits, ...size };
  const before = start.limits.water === undefined ? {} : { water: start.limits.water.plan };
  return limitsFor(await methodFrom(again, io), { ...before, ...start.limits.told, ...told, ...size });
}
