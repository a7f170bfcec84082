import { usageError } from "../core/errors.ts";
import { isKeyed } from "../core/judging/water/waterJudge.ts";
import { limitsFor } from "../core/methods/index.ts";
import type { Limits } from "../core/methods/limits.ts";
import type { RecordStart } from "../core/record.ts";
import { parsePressure } from "../core/units.ts";
import type { Context } from "./command.ts";
import { ruleFrom } from "./judge.ts";
import type { ReplayOptions } from "./replay.ts";
import { methodFrom, pipeFrom } from "./section.ts";

interface Changed {
  start: RecordStart;
  recordedStart: RecordStart;
  changes: readonly string[];
}

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

/** Whether spikes are to be left in. A StaunchError `unfiltered-unfit` where nothing is filtered. */
export function unfilteredFrom({ unfiltered }: ReplayOptions, start: RecordStart): boolean {
  if (unfiltered === true && (start.limits.water !== undefined || isKeyed(start)))
    throw usageError("unfiltered-unfit", "Only an air test with a gauge is filtered.", "Leave --unfiltered out.");
  return unfiltered === true;
}

const spoken = ({ tolerance, unfiltered }: ReplayOptions): string[] => [
  ...(tolerance === undefined ? [] : [`tolerance ${tolerance.trim()}`]),
  ...(unfiltered === true ? ["unfiltered"] : []),
];

/** A CSV has nothing that it was recorded as; only what goes beyond a method is a change. */
export function asIs(start: RecordStart, options: ReplayOptions): Changed & { unfiltered: boolean } {
  const told = withTolerance(start, options.tolerance);
  return { start: told, recordedStart: told, changes: spoken(options), unfiltered: unfilteredFrom(options, start) };
}

/** The same record under another method, section, tolerance or rule; the very same start when nothing else is asked for. */
export async function changed(recordedStart: RecordStart, options: ReplayOptions, io: Context["io"]): Promise<Changed> {
  const pipe = pipeFrom(options);
  const resized = Object.values(pipe).some((value) => value != null);
  const limits = options.method === undefined && !resized ? recordedStart.limits : await limitsUnder(recordedStart, options, io);
  const rule = options.rule === undefined ? recordedStart.rule : ruleFrom(options.rule);
  const changes = [
    ...(options.method === undefined ? [] : [`method ${limits.method.id}`]),
    ...(resized ? ["section told anew"] : []),
    ...(options.rule === undefined ? [] : [`rule ${rule}`]),
    ...spoken(options),
  ];
  if (changes.length === 0) return { start: recordedStart, recordedStart, changes };
  return { start: withTolerance({ ...recordedStart, limits, rule }, options.tolerance), recordedStart, changes };
}

async function limitsUnder(start: RecordStart, options: ReplayOptions, io: Context["io"]): Promise<Limits> {
  const { dn_mm, material, laid_length_m, ...told } = pipeFrom(options);
  const size = {
    dn_mm: dn_mm ?? start.limits.dn_mm,
    material: material ?? start.limits.material,
    laid_length_m: laid_length_m ?? start.limits.laid_length_m,
  };
  // What was told of the section then still holds under another method; new words need the figures worked out again.
  const again = options.method ?? (Object.keys(told).length > 0 ? start.limits.method.id : undefined);
  if (again === undefined) return { ...start.limits, ...size };
  const before = start.limits.water === undefined ? {} : { water: start.limits.water.plan };
  return limitsFor(await methodFrom(again, io), { ...before, ...start.limits.told, ...told, ...(size as ReturnType<typeof pipeFrom>) });
}
