import { hostname } from "node:os";
import { type ExitCode, type StaunchError, usageError } from "../core/errors.ts";
import type { Limits } from "../core/methods/limits.ts";
import { plainText } from "../core/text.ts";
import type { Update } from "../session/session.ts";
import { closeInterrupted } from "../storage/interrupted.ts";
import { lockArchive } from "../storage/lock.ts";
import { type Archive, openArchive } from "../storage/open.ts";
import type { Sealing } from "../storage/sealRecord.ts";
import { type AsTestedWords, asTestedOptions } from "./asTestedWords.ts";
import type { Command, Context } from "./command.ts";
import { foldJournal } from "./foldJournal.ts";
import { gaugeCautions, keepHistory } from "./gaugeHistory.ts";
import { paceFrom } from "./pace.ts";
import { runTest } from "./runTest.ts";
import { sealingFor } from "./sealingFor.ts";
import { limitsFrom, pipeFrom, type SectionWords, sectionOptions } from "./section.ts";
import { type BesideGauges, type BesideWords, besideOptions, withBeside } from "./testBeside.ts";
import { type GaugeWords, type TestGauge, testGauge } from "./testGauge.ts";
import { startIn } from "./testStart.ts";
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

/** The judge of air would ask the crew to pump air to the head of a column of water, which no plug of an air test is braced for. */
const waterByDrop = ({ method }: Limits): StaunchError =>
  usageError(
    "method-water",
    `${method.id} is a test with water judged by a drop of pressure, which cannot be run.`,
    "Water tests are run by litres: --method en1610-w or adh-water; take a method of air for air.",
  );

/** What was worked out of the words before the archive was opened. */
interface Prepared extends Pick<TestGauge, "known"> {
  limits: Limits;
  joined: BesideGauges;
  /** So many times faster than life; `null`: life speed. */
  pace: number | null;
}

/** Ends what was broken off before; to be called with the lock held. */
function closeBroken(archive: Archive, sealing: Sealing | null, io: Context["io"]): void {
  const found = closeInterrupted(archive, io.clock.wall_ms(), foldJournal, sealing);
  for (const id of found.closed) io.err(`staunch: record ${plainText(id, 40)} had been broken off; it is closed now.`);
  for (const { id } of found.failed) io.err(`staunch: record ${plainText(id, 40)} was broken off and cannot be closed; it stays as it is.`);
}

async function runIn(archive: Archive, options: TestOptions, prepared: Prepared, context: Context): Promise<ExitCode> {
  const { io } = context;
  const { limits, joined, known, pace } = prepared;
  const start = startIn(archive, options, prepared, context);
  const owner = { pid: process.pid, host: hostname(), since_wall_ms: start.started_wall_ms, record: start.id };
  const { sealing, finish } = sealingFor(context);
  const lock = lockArchive(archive.path, owner);
  try {
    closeBroken(archive, sealing, io);
    const { plain, json, events, say } = { plain: false, json: false, events: false, say: false, ...options };
    const show = { plain: plain || json || events || io.terminal === null, json, events, say };
    const cautions = [...limits.cautions, ...gaugeCautions(start)];
    const whenKept = (last: Update): void => (known === null ? undefined : keepHistory(archive, known, start, last, io.err));
    const leaves = pace !== null && pace > 1;
    return await runTest({ io, archive, sealing, start, gauge: joined.ready, show, cautions, whenKept, leaves });
  } finally {
    lock.release();
    finish();
  }
}

export const test: Command<TestOptions> = {
  parse,
  async run(options, context) {
    const limits = await limitsFrom(options.method, pipeFrom(options), context.io);
    if (limits.medium === "water" && limits.water === undefined) throw waterByDrop(limits);
    const pace = paceFrom(options.pace);
    const { ready, known } = testGauge(options, pace, limits, context);
    const joined = withBeside(ready, options, limits, context);
    const archive = openArchive(context.archive, { mode: "write" });
    try {
      return await runIn(archive, options, { limits, joined, known, pace }, context);
    } finally {
      archive.close();
    }
  },
};
