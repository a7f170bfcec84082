import { randomBytes } from "node:crypto";
import type { Limits } from "../core/methods/limits.ts";
import { JUDGE_VERSION, type RecordStart } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import type { Archive } from "../storage/open.ts";
import { findRecord } from "../storage/records.ts";
import { asTestedFrom } from "./asTestedWords.ts";
import type { Context } from "./command.ts";
import type { ReadyGauge } from "./gauge.ts";
import { ruleFrom } from "./judge.ts";
import { overriddenBy } from "./overrides.ts";
import type { TestOptions } from "./test.ts";
import type { BesideGauges } from "./testBeside.ts";
import { ventFrom } from "./ventFrom.ts";

/** `20261125-101502-k3f9`: sorts by time, and two machines do not meet on one. */
function recordId(wall_ms: number): string {
  const digits = new Date(wall_ms).toISOString().replace(/\D/g, "");
  return `${digits.slice(0, 8)}-${digits.slice(8, 14)}-${randomBytes(4).readUInt32BE().toString(36).padStart(7, "0").slice(-4)}`;
}

function startOf(
  options: TestOptions,
  limits: Limits,
  { ready, also }: BesideGauges,
  overrides: string | null,
  { io, program }: Context,
): RecordStart {
  const started_wall_ms = io.clock.wall_ms();
  const { dn_mm, material, laid_length_m } = limits;
  return {
    id: recordId(started_wall_ms),
    started_wall_ms,
    source: sourceOf(ready),
    section: { id: plainText(options.section, 80) || "unnamed", dn_mm, material, laid_length_m },
    stage: plainText(options.stage, 40),
    ...asTestedFrom(options),
    tester: options.by === undefined ? null : plainText(options.by, 80),
    rule: ruleFrom(options.rule),
    strict: options.strict === true,
    limits,
    gauge: ready.facts,
    ...also,
    program,
    judge_version: JUDGE_VERSION,
    ...(overrides === null ? {} : { overrides }),
  };
}

/** One line that is no gauge's, and the record proves no section. */
const sourceOf = ({ link, beside = [] }: ReadyGauge): RecordStart["source"] =>
  [link, ...beside].find(({ source }) => source !== "gauge")?.source ?? "gauge";

/** What is known before the test, put together as the record will keep it. StaunchErrors of the records that are named, and of words left empty. */
export function startIn(
  archive: Archive,
  options: TestOptions,
  { limits, joined }: { limits: Limits; joined: BesideGauges },
  context: Context,
): RecordStart {
  const overrides = options.overrides === undefined ? null : overriddenBy(limits, options.section, findRecord(archive, options.overrides));
  const vent = options.ventFrom === undefined ? {} : ventFrom(archive, options.ventFrom);
  const vented = { ...joined, ready: { ...joined.ready, facts: { ...joined.ready.facts, ...vent } } };
  return startOf(options, limits, vented, overrides, context);
}
