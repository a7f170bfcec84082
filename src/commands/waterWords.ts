import type { Command as CommandLine } from "commander";
import { usageError } from "../core/errors.ts";
import { NO_WATER_PLAN, type WaterPlan } from "../core/methods/waterPlan.ts";
import { parseDn, parseLength, parsePressure } from "../core/units.ts";
import { each } from "./words.ts";

/** The words only a water test asks for, as commander hands them over. */
export interface WaterWords {
  head?: string | undefined;
  fall?: string | undefined;
  branch?: string[] | undefined;
  chamber?: string[] | undefined;
  standpipe?: string | undefined;
}

/** Weight of water, Pa per metre, as in the unit "mm water gauge". */
const WATER_Pa_m = 9806.65;

/** Adds the options of a water test to a command. */
export const waterOptions = (line: CommandLine): CommandLine =>
  line
    .option("--head <pressure>", 'water: test head at the top of the pipe, upper end: "30 kPa" or "3 m"')
    .option("--fall <length>", "water: how much lower the pipe lies at its other end: 0.8 (m)")
    .option("--branch <dn x length>", 'a branch or another size in the section, "150 x 12"; may be given again', each)
    .option("--chamber <dn x height>", 'water: a chamber filled with it, "1000 x 1.8"; may be given again', each)
    .option("--standpipe <bore>", "water: bore of the standpipe in mm: litres are then read from the head");

function pair(option: string, text: string): { bore_mm: number; length_m: number } {
  const [bore, length, ...more] = text.split(/\s*[x×*]\s*/i);
  if (bore !== undefined && length !== undefined && more.length === 0) return { bore_mm: parseDn(bore), length_m: parseLength(length) };
  throw usageError(
    "pair-unreadable",
    `${option} ${JSON.stringify(text.slice(0, 40))} is no size and length.`,
    `Write ${option} "150 x 12": mm, then m.`,
  );
}

const headFrom = (text: string): number => (/^\s*[+-]?[\d.]+\s*m\s*$/.test(text) ? parseLength(text) * WATER_Pa_m : parsePressure(text));

function standpipeFrom(text: string): number {
  const bore_mm = parseDn(text);
  if (bore_mm <= 1500) return bore_mm;
  throw usageError(
    "standpipe-bore",
    `A standpipe of ${text.slice(0, 40)} is none.`,
    "Write its inner bore in mm, such as --standpipe 100.",
  );
}

/** What was said of a water test; `undefined` when nothing was. StaunchErrors (64) as of `parseDn`, `parseLength`, `parsePressure`. */
export function waterPlanFrom({ head, fall, branch, chamber, standpipe }: WaterWords): WaterPlan | undefined {
  if ([head, fall, branch, chamber, standpipe].every((word) => word === undefined)) return undefined;
  return {
    head_Pa: head === undefined ? NO_WATER_PLAN.head_Pa : headFrom(head),
    fall_m: fall === undefined || /^0*\.?0+\s*m?$/.test(fall) ? 0 : parseLength(fall),
    branches: (branch ?? []).map((text) => pair("--branch", text)),
    chambers: (chamber ?? []).map((text) => {
      const { bore_mm, length_m } = pair("--chamber", text);
      return { bore_mm, height_m: length_m };
    }),
    standpipe_mm: standpipe === undefined ? null : standpipeFrom(standpipe),
  };
}
