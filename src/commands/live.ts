import { usageError } from "../core/errors.ts";
import { limitsFor } from "../core/methods/index.ts";
import type { Limits } from "../core/methods/limits.ts";
import { canonicalUnit, parseDn, parseLength, UNIT_NAMES, type UnitName } from "../core/units.ts";
import { parseGaugeUrl } from "../links/gaugeUrl.ts";
import type { Command } from "./command.ts";
import { readyGauge } from "./gauge.ts";
import { askedGauge, withFile } from "./gaugeOnFile.ts";
import { readingsOut } from "./liveCsv.ts";
import { paceFrom } from "./pace.ts";
import { runLive } from "./runLive.ts";
import { commandLine, readWords } from "./words.ts";

/** Words as they were given; they are read when the command runs. */
export interface LiveOptions {
  gauge: string;
  dn?: string;
  laidLength?: string;
  unit?: string;
  seconds?: string;
  csv?: string;
  sound?: boolean;
  plain?: boolean;
  json?: boolean;
  events?: boolean;
  pace?: string;
}

/** A simulated pipe needs a test to be leaking by: 25 mmH2O in 5 min. */
const SIMULATED_METHOD = "uk-100mm";
const LONGEST_S = 7 * 86_400;

function parse(words: readonly string[], io: Parameters<Command["parse"]>[1]): LiveOptions | null {
  const line = commandLine(
    "live",
    "A gauge's figures with no test: pressure, rate of change, noise, arrival gaps. For a zero check, for a leak hunt (spray, watch, hear), for seeing what a gauge says. Nothing is kept, no section is proven.",
    [
      'staunch live --gauge "serial:///dev/ttyUSB0?protocol=scpi&baud=9600" --dn 300 --laid-length 45 --sound',
      'staunch live --gauge "sim://?leak=2&seed=7" --pace 20 --seconds 300 --csv - > readings.csv',
    ],
  );
  let chosen: LiveOptions | null = null;
  line
    .requiredOption(
      "--gauge <url or name>",
      "serial:///dev/ttyUSB0?protocol=line, sim://?leak=0.5, or the name of a gauge on file or described",
    )
    .option("--dn <size>", "size of the section, for L/min: 300 (mm) or 12in")
    .option("--laid-length <length>", "its length, for L/min: 45 (m) or 150ft")
    .option("--unit <name>", `unit of the figures: ${UNIT_NAMES.join(", ")}`, "mmH2O")
    .option("--seconds <n>", "end after so many seconds of the gauge's time")
    .option("--csv <file>", "write the readings as CSV, one line each; - for standard output")
    .option("--sound", "the terminal's bell follows the loss")
    .option("--plain", "a line a second instead of the screen; z or q and Enter for zero and end")
    .option("--json", "one JSON object at the end")
    .option("--events", "JSON lines as they happen")
    .option("--pace <n>", "so many times faster than life; a simulated gauge only")
    .action((options: LiveOptions) => {
      chosen = options;
    });
  return readWords(line, words, io) ? chosen : null;
}

function secondsFrom(word: string | undefined): number | undefined {
  if (word === undefined) return undefined;
  const seconds = /^\d+(\.\d+)?$/.test(word) ? Number(word) : Number.NaN;
  if (seconds > 0 && seconds <= LONGEST_S) return seconds;
  throw usageError(
    "seconds-unreadable",
    `${JSON.stringify(word.slice(0, 40))} is no number of seconds.`,
    "Write a number such as 60, up to 604800.",
  );
}

function unitFrom(word: string): UnitName {
  const unit = canonicalUnit(word);
  if (unit !== undefined) return unit;
  throw usageError(
    "unit-unknown",
    `${JSON.stringify(word.slice(0, 40))} is not a unit of pressure known here.`,
    `Known units: ${UNIT_NAMES.join(", ")}.`,
  );
}

/** Standard output takes one thing only. */
function refuseTwoOnStdout({ csv, json, events }: LiveOptions): void {
  if (csv === "-" && (json || events))
    throw usageError("stdout-twice", `--csv - and ${json ? "--json" : "--events"} both write to standard output.`, "Give --csv a file.");
}

function refuseTyped(url: string): void {
  if (parseGaugeUrl(url).scheme === "keyed")
    throw usageError(
      "gauge-not-live",
      "keyed:// has no gauge to watch: its readings are typed in.",
      "Name a gauge that speaks, such as serial:// or sim://.",
    );
}

function pipeWords({ dn_mm, laid_length_m }: Limits): string | null {
  return dn_mm === null || laid_length_m === null ? null : `DN ${dn_mm}, ${laid_length_m} m`;
}

export const live: Command<LiveOptions> = {
  parse,
  async run(options, context) {
    const { io } = context;
    refuseTwoOnStdout(options);
    const { url, known } = askedGauge(options.gauge, context, io.err);
    refuseTyped(url);
    const seconds = secondsFrom(options.seconds);
    const unit = unitFrom(options.unit ?? "mmH2O");
    const dn_mm = options.dn === undefined ? null : parseDn(options.dn);
    const laid_length_m = options.laidLength === undefined ? null : parseLength(options.laidLength);
    const limits = limitsFor(SIMULATED_METHOD, { dn_mm, material: null, laid_length_m });
    const wishes = {
      url,
      resolution_Pa: null,
      accuracy_fraction: null,
      accuracy_Pa: null,
      pace: paceFrom(options.pace),
      bluetoothChild: io.bluetoothChild,
    };
    const ready = readyGauge(wishes, limits, io.clock, io.clock.wall_ms());
    const gauge = known === null ? ready : withFile(ready, known, null);
    const csvOnStdout = options.csv === "-";
    const { json, events, sound } = { json: false, events: false, sound: false, ...options };
    const plain = options.plain === true || json || events || csvOnStdout || io.terminal === null;
    const csv = options.csv === undefined ? null : await readingsOut(options.csv, io);
    return runLive({ io, gauge, limits, seconds, csv, show: { plain, json, events, sound, csvOnStdout, unit, pipe: pipeWords(limits) } });
  },
};
