import { basename } from "node:path";
import { EXIT, type ExitCode, isStaunchError, usageError } from "../core/errors.ts";
import { judgeRecordedWater } from "../core/judging/water/recorded.ts";
import { judgeWholeCurve } from "../core/judging/wholeCurve.ts";
import { displayUnit } from "../core/methods/displayUnit.ts";
import type { GaugeFacts, Rule, VerdictWord } from "../core/record.ts";
import { plainJson, plainText } from "../core/text.ts";
import { parsePressure } from "../core/units.ts";
import { readReadingsCsv } from "../intake/readingsCsv.ts";
import { verdictLines } from "../terminal/plain.ts";
import { addedFrom, clockFrom } from "./addedWords.ts";
import type { Command } from "./command.ts";
import { limitsFrom, pipeFrom, readNamed, type SectionWords, sectionOptions } from "./section.ts";
import { commandLine, readWords } from "./words.ts";

/** Words as they were given; figures are read when the command runs. */
export interface JudgeOptions {
  file: string;
  method: string;
  section: SectionWords;
  resolution?: string | undefined;
  accuracy?: string | undefined;
  rule: string;
  /** Water: what the crew wrote down, and when it began. */
  added?: string[] | undefined;
  holdFrom?: string | undefined;
  json: boolean;
}

type Words = SectionWords & {
  method: string;
  resolution?: string;
  accuracy?: string;
  rule: string;
  added?: string[];
  holdFrom?: string;
  json?: boolean;
};

function parse(words: readonly string[], io: Parameters<Command["parse"]>[1]): JudgeOptions | null {
  const line = commandLine(
    "judge",
    "The whole-curve verdict on a recording (CSV with a header such as time_s,pressure_Pa; - reads stdin).",
    [
      'staunch judge fixtures/curves/003_EN1610-LA-DN600_base_x0p9.csv --method en1610-la --dn 600 --resolution "1 Pa"',
      'staunch judge levels.csv --method en1610-w --dn 300 --laid-length 45 --added "0.35 L at 72:10" --added "0 L at 101:30"',
      "staunch judge levels.csv --method en1610-w --dn 300 --laid-length 45 --standpipe 100",
    ],
  );
  let chosen: JudgeOptions | null = null;
  sectionOptions(line)
    .argument("<file>", "the recording, or - for stdin")
    .requiredOption("--method <id or file>", "a method's id, or a method file")
    .option("--resolution <pressure>", 'smallest step of the gauge: "1 Pa"')
    .option("--accuracy <error>", 'its error: "0.1 %" of the reading, or "2 Pa"')
    .option("--rule <name>", "simple or guarded", "simple")
    .option(
      "--added <litres at time>",
      'water: put in, as "0.35 L at 72:10" of the recording; may be given again',
      (one: string, before: string[] = []) => [...before, one],
    )
    .option("--hold-from <time>", "water: when the 30 min began, 72:00; else found from the level")
    .option("--json", "one JSON object")
    .action((file: string, { method, resolution, accuracy, rule, added, holdFrom, json, ...section }: Words) => {
      chosen = { file, method, section, resolution, accuracy, rule, added, holdFrom, json: json === true };
    });
  return readWords(line, words, io) ? chosen : null;
}

/** The complaint of a pressure that cannot be read names the option it was given for. */
function pressureOf(option: string, text: string): number {
  try {
    return parsePressure(text);
  } catch (error) {
    if (!isStaunchError(error)) throw error;
    throw usageError(error.code, `${option}: ${error.message}`, error.hint);
  }
}

/** A size more than nothing and less than a bar; a gauge outside that is a slip of the keyboard. */
function gaugePressure(option: string, text: string): number {
  const value_Pa = pressureOf(option, text);
  if (value_Pa > 0 && value_Pa < 100_000) return value_Pa;
  throw usageError(
    "gauge-figure",
    `${option} ${JSON.stringify(text.slice(0, 40))} is no figure a gauge can have.`,
    'Write a small pressure, such as "1 Pa".',
  );
}

/** `--resolution` and `--accuracy` → what is known of the gauge. */
export function gaugeFrom(url: string, resolution: string | undefined, accuracy: string | undefined): GaugeFacts {
  const percent = /^\s*(\d+\.?\d*|\.\d+)\s*%\s*$/.exec(accuracy ?? "");
  const fraction = percent === null ? null : Number(percent[1]) / 100;
  if (fraction !== null && fraction > 0.5)
    throw usageError("gauge-figure", `An accuracy of ${accuracy} is no measurement.`, 'Write the certificate\'s figure, such as "0.1 %".');
  return {
    url,
    protocol: "csv",
    reference: "vented",
    resolution_Pa: resolution === undefined ? null : gaugePressure("--resolution", resolution),
    accuracy_fraction: fraction,
    accuracy_Pa: accuracy === undefined || fraction !== null ? null : gaugePressure("--accuracy", accuracy),
  };
}

export function ruleFrom(word: string): Rule {
  if (word === "simple" || word === "guarded") return word;
  throw usageError(
    "rule-unknown",
    `${JSON.stringify(word.slice(0, 40))} is no decision rule.`,
    "Known: simple (as the method says), guarded (JCGM 106).",
  );
}

const EXIT_OF: Readonly<Record<VerdictWord, ExitCode>> = {
  pass: EXIT.pass,
  fail: EXIT.fail,
  inconclusive: EXIT.undecided,
  void: EXIT.undecided,
};

/** Exit code of a verdict (design: 0 pass, 1 fail, 2 void or inconclusive). */
export const exitOf = (verdict: VerdictWord): ExitCode => EXIT_OF[verdict];

export const judge: Command<JudgeOptions> = {
  parse,
  async run(options, { io, program }) {
    const rule = ruleFrom(options.rule);
    const gauge = gaugeFrom(`file:${basename(options.file)}`, options.resolution, options.accuracy);
    const limits = await limitsFrom(options.method, pipeFrom(options.section), io);
    const waterWords = {
      entries: (options.added ?? []).map(addedFrom),
      holdFrom_s: options.holdFrom === undefined ? null : clockFrom(options.holdFrom),
    };
    const { curve, notes } = await readNamed(options.file, io, readReadingsCsv);
    const verdict =
      limits.water === undefined
        ? judgeWholeCurve({ curve, limits, gauge, rule, source: "imported", program, record: null })
        : judgeRecordedWater({ curve, limits, gauge, rule, program, ...waterWords });
    for (const note of notes) io.err(`staunch: ${plainText(note)}`);
    io.out(options.json ? plainJson(verdict) : verdictLines(verdict, displayUnit(limits)).join("\n"));
    return exitOf(verdict.verdict);
  },
};
