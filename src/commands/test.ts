import { randomBytes } from "node:crypto";
import { hostname } from "node:os";
import { type StaunchError, usageError } from "../core/errors.ts";
import type { Limits } from "../core/methods/limits.ts";
import { JUDGE_VERSION, type RecordStart } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import type { Update } from "../session/session.ts";
import { closeInterrupted } from "../storage/interrupted.ts";
import { lockArchive } from "../storage/lock.ts";
import { openArchive } from "../storage/open.ts";
import { findRecord } from "../storage/records.ts";
import { type AsTestedWords, asTestedFrom, asTestedOptions } from "./asTestedWords.ts";
import type { Command, Context } from "./command.ts";
import { foldJournal } from "./foldJournal.ts";
import type { ReadyGauge } from "./gauge.ts";
import { gaugeCautions, keepHistory } from "./gaugeHistory.ts";
import { ruleFrom } from "./judge.ts";
import { overriddenBy } from "./overrides.ts";
import { paceFrom } from "./pace.ts";
import { runTest } from "./runTest.ts";
import { sealingFor } from "./sealingFor.ts";
import { limitsFrom, pipeFrom, type SectionWords, sectionOptions } from "./section.ts";
import { type BesideGauges, type BesideWords, besideOptions, withBeside } from "./testBeside.ts";
import { type GaugeWords, testGauge } from "./testGauge.ts";
import { ventFrom } from "./ventFrom.ts";
import { commandLine, readWords } from "./words.ts";

/** Words as they were given; they are read when the command runs. */
export interface TestOptions extends SectionWords, AsTestedWords, GaugeWords, BesideWords {
  method: string;
  section: string;
  stage: string;
  rule: string;
  by?: string;
  plain?: boolean;
  say?: boolean;
  json?: boolean;
  events?: boolean;
  pace?: string;
  overrides?: string;
  ventFrom?: string;
}

function parse(words: readonly string[], io: Parameters<Command["parse"]>[1]): TestOptions | null {
  const line = commandLine(
    "test",
    "One hands-free test: from the first stroke of the pump to a verdict on record. An air test can kill: read the cautions it shows. " +
      "In a water test litres are typed, a line each: 0.35 put in, taken 0.1 let out, head 32 kPa where no gauge reads it (keyed://). " +
      "A U-tube (keyed://) is typed when it is called for: 98 mm, both legs 49 49, 10 mbar; pumped, bled, start 98, skip, stop.",
    [
      'staunch test --gauge "serial:///dev/ttyUSB0?protocol=scpi&baud=9600" --section S4 --method en1610-lc --dn 300 --material pvc',
      'staunch test --gauge "sim://?leak=0.5&seed=7" --pace 60 --method en1610-lc --dn 150',
      "staunch test --gauge keyed:// --method uk-100mm --dn 150 --laid-length 30",
      "staunch test --gauge keyed:// --method en1610-w --dn 300 --laid-length 45 --section S4 --overrides 20261125-101502-k3f9",
    ],
  );
  let chosen: TestOptions | null = null;
  besideOptions(asTestedOptions(sectionOptions(line)))
    .requiredOption(
      "--gauge <url or name>",
      "a gauge on file, or where it is: serial:///dev/ttyUSB0?protocol=line, sim://?leak=0.5, keyed:// (read by eye, typed)",
    )
    .requiredOption("--method <id or file>", "a method's id, or a method file")
    .option("--section <id>", "which stretch of pipe", "unnamed")
    .option("--stage <name>", "laid, covered, in-service, or the specification's own", "laid")
    .option("--overrides <record>", "water: the failed air test of this section that it overrides")
    .option(
      "--vent-from <record>",
      "an earlier test of a known section through the same vent: says whether this section's volume fits the plan",
    )
    .option("--rule <name>", "simple or guarded", "simple")
    .option("--strict", "refuse a gauge that is not fit for the method")
    .option("--gauge-reason <text>", "why a gauge is used although its calibration is out of date; kept on the record")
    .option("--by <name>", "who tests")
    .option("--resolution <pressure>", 'smallest step of the gauge: "1 Pa"')
    .option("--accuracy <error>", 'its error: "0.1 %" of the reading, or "2 Pa"')
    .option("--plain", "lines instead of the screen")
    .option("--say", "speak what is asked (needs espeak-ng)")
    .option("--json", "one JSON object at the end")
    .option("--events", "JSON lines as they happen")
    .option("--pace <n>", "so many times faster than life; a simulated gauge only")
    .action((options: TestOptions) => {
      chosen = options;
    });
  return readWords(line, words, io) ? chosen : null;
}

/** `20261125-101502-k3f9`: sorts by time, and two machines do not meet on one. */
function recordId(wall_ms: number): string {
  const digits = new Date(wall_ms).toISOString().replace(/\D/g, "");
  return `${digits.slice(0, 8)}-${digits.slice(8, 14)}-${randomBytes(4).readUInt32BE().toString(36).padStart(7, "0").slice(-4)}`;
}

/** The judge of air would ask the crew to pump air to the head of a column of water, which no plug of an air test is braced for. */
const waterByDrop = ({ method }: Limits): StaunchError =>
  usageError(
    "method-water",
    `${method.id} is a test with water judged by a drop of pressure, which cannot be run.`,
    "Water tests are run by litres: --method en1610-w or adh-water; take a method of air for air.",
  );

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

export const test: Command<TestOptions> = {
  parse,
  async run(options, context) {
    const { io } = context;
    const limits = await limitsFrom(options.method, pipeFrom(options), io);
    if (limits.medium === "water" && limits.water === undefined) throw waterByDrop(limits);
    const pace = paceFrom(options.pace);
    const { ready, known } = testGauge(options, pace, limits, context);
    const joined = withBeside(ready, options, limits, context);
    const gauge = joined.ready;
    const archive = openArchive(context.archive, { mode: "write" });
    try {
      const overrides =
        options.overrides === undefined ? null : overriddenBy(limits, options.section, findRecord(archive, options.overrides));
      const vent = options.ventFrom === undefined ? {} : ventFrom(archive, options.ventFrom);
      const vented = { ...joined, ready: { ...gauge, facts: { ...gauge.facts, ...vent } } };
      const start = startOf(options, limits, vented, overrides, context);
      const owner = { pid: process.pid, host: hostname(), since_wall_ms: start.started_wall_ms, record: start.id };
      const seals = sealingFor(context);
      const lock = lockArchive(archive.path, owner);
      try {
        const found = closeInterrupted(archive, io.clock.wall_ms(), foldJournal, seals.sealing);
        for (const id of found.closed) io.err(`staunch: record ${plainText(id, 40)} had been broken off; it is closed now.`);
        for (const { id } of found.failed)
          io.err(`staunch: record ${plainText(id, 40)} was broken off and cannot be closed; it stays as it is.`);
        const { plain, json, events, say } = { plain: false, json: false, events: false, say: false, ...options };
        const show = { plain: plain || json || events || io.terminal === null, json, events, say };
        const cautions = [...limits.cautions, ...gaugeCautions(start)];
        const whenKept = (last: Update): void => (known === null ? undefined : keepHistory(archive, known, start, last, io.err));
        return await runTest({
          io,
          archive,
          sealing: seals.sealing,
          start,
          gauge,
          show,
          cautions,
          whenKept,
          leaves: pace !== null && pace > 1,
        });
      } finally {
        lock.release();
        seals.finish();
      }
    } finally {
      archive.close();
    }
  },
};
