import type { Command as CommandLine } from "commander";
import { findDriver } from "../../drivers/index.ts";
import { isStaunchError, type StaunchError, usageError } from "../core/errors.ts";
import { EMPTY_SHEET, type GaugeSheet } from "../core/gauges/sheet.ts";
import { plainText } from "../core/text.ts";
import { ABSURD_Pa, parsePressure } from "../core/units.ts";
import { parseGaugeUrl } from "../links/gaugeUrl.ts";
import { dayFrom } from "./days.ts";
import { gaugeFrom } from "./judge.ts";

/** What may be said of a gauge, as commander hands it over. */
export interface SheetWords {
  range?: string;
  resolution?: string;
  accuracy?: string;
  vented?: boolean;
  absolute?: boolean;
  calibrated?: string;
  due?: string;
  certificate?: string;
  serial?: string;
}

export const sheetOptions = (line: CommandLine): CommandLine =>
  line
    .option("--range <from..to>", 'what it can measure: "0..200 mbar"; an absolute one from vacuum: "300..1100 hPa"')
    .option("--resolution <pressure>", 'its smallest step: "1 Pa"')
    .option("--accuracy <error>", '"0.1 %" of the reading, "0.1 % fs" of the whole range, or "2 Pa"')
    .option("--vented", "it measures against the air around it")
    .option("--absolute", "its sensor is sealed or absolute")
    .option("--calibrated <day>", "2026-03-01")
    .option("--due <day>", "the last day the calibration holds")
    .option("--certificate <number>", "of the calibration")
    .option("--serial <number>", "the gauge's own");

/** The sheet `before` with what was said put in its place. StaunchErrors (64), each naming its option. */
export function sheetFrom(words: SheetWords, before: GaugeSheet, today: string): GaugeSheet {
  const sheet: GaugeSheet = {
    ...before,
    ...(words.range === undefined ? {} : rangeFrom(words.range)),
    ...(words.resolution === undefined ? {} : { resolution_Pa: gaugeFrom("", words.resolution, undefined).resolution_Pa }),
    ...(words.accuracy === undefined ? {} : accuracyFrom(words.accuracy)),
    ...referenceFrom(words),
    ...(words.calibrated === undefined ? {} : { calibrated: dayFrom("--calibrated", words.calibrated) }),
    ...(words.due === undefined ? {} : { due: dayFrom("--due", words.due) }),
    ...(words.certificate === undefined ? {} : { certificate: written("--certificate", words.certificate) }),
    ...(words.serial === undefined ? {} : { serial: written("--serial", words.serial) }),
  };
  checkSheet(sheet, today);
  return sheet;
}

function checkSheet(sheet: GaugeSheet, today: string): void {
  const { calibrated, due } = sheet;
  if (calibrated !== null && calibrated > today)
    throw usageError(
      "calibration-days",
      `A calibration on ${calibrated} is still to come: today is ${today}.`,
      "Check --calibrated and this machine's clock.",
    );
  if (calibrated !== null && due !== null && due < calibrated)
    throw usageError("calibration-days", `Due on ${due}, but calibrated on ${calibrated}.`, "--due is the later day of the two.");
  if (due !== null && calibrated === null)
    throw usageError("calibration-days", `Due on ${due}, but never calibrated.`, "Add --calibrated.");
  if (sheet.accuracy_full_scale !== null && sheet.low_Pa === null)
    throw usageError("gauge-figure", "An accuracy of full scale needs to know the scale.", 'Add --range, such as "0..200 mbar".');
}

const RANGE = /^\s*(.+?)\s*(?:\.\.\.?|…|\bto\b)\s*(.+?)\s*$/i;
const BARE = /^[+\-−]?\s*[\d.]+$/;

const badRange = (word: string, why: string): StaunchError =>
  usageError(
    "range-unreadable",
    `--range ${JSON.stringify(word.slice(0, 40))} ${why}.`,
    'Write both ends with a unit, the lower first: "0..200 mbar" or "-50..50 mbar".',
  );

/** "0..200 mbar", "-5 kPa..20 kPa": the unit of the upper end stands for both. */
function rangeFrom(word: string): Pick<GaugeSheet, "low_Pa" | "high_Pa"> {
  const [, low = "", high = ""] = RANGE.exec(word) ?? [];
  if (low === "" || high === "") throw badRange(word, "is no range");
  try {
    const high_Pa = parsePressure(high);
    const unit = high.replace(/^[^a-z"″]*/i, "");
    const low_Pa = parsePressure(BARE.test(low) ? `${low} ${unit}` : low);
    if (!(low_Pa < high_Pa)) throw badRange(word, "does not begin below its end");
    if (Math.max(Math.abs(low_Pa), Math.abs(high_Pa)) > ABSURD_Pa) throw badRange(word, "is wider than any gauge for drains");
    return { low_Pa, high_Pa };
  } catch (error) {
    if (!isStaunchError(error) || error.code === "range-unreadable") throw error;
    throw usageError(error.code, `--range: ${error.message}`, error.hint);
  }
}

const FULL_SCALE = /^\s*(\d+\.?\d*|\.\d+)\s*%\s*(?:of\s+)?(?:fs|fso|f\.s\.|full[ -]?scale|span|range)\s*$/i;

function accuracyFrom(word: string): Pick<GaugeSheet, "accuracy_fraction" | "accuracy_full_scale" | "accuracy_Pa"> {
  const part = FULL_SCALE.exec(word)?.[1];
  const { accuracy_fraction, accuracy_Pa } = gaugeFrom("", undefined, part === undefined ? word : `${part} %`);
  if (part === undefined) return { accuracy_fraction, accuracy_full_scale: null, accuracy_Pa };
  return { accuracy_fraction: null, accuracy_full_scale: accuracy_fraction, accuracy_Pa: null };
}

function referenceFrom({ vented, absolute }: SheetWords): Partial<GaugeSheet> {
  if (vented && absolute)
    throw usageError("gauge-reference", "A gauge is vented or absolute, not both.", "Leave one of --vented and --absolute out.");
  if (!vented && !absolute) return {};
  return { reference: vented ? "vented" : "absolute" };
}

function written(option: string, word: string): string {
  const text = plainText(word, 60);
  if (text !== "" && text === word.trim()) return text;
  throw usageError("gauge-text", `${option} ${JSON.stringify(text)} cannot be kept.`, "Write up to 60 plain characters.");
}

const NAME = /^[\p{L}\p{N}][\p{L}\p{N}\p{M} ._#-]{0,39}$/u;

/** A gauge's name: it stands on command lines, screens and papers. A StaunchError `gauge-name` (64). */
export function nameFrom(word: string): string {
  const name = word.normalize("NFC").trim().replace(/\s+/g, " ");
  if (NAME.test(name) && plainText(name) === name) return name;
  throw usageError(
    "gauge-name",
    `${JSON.stringify(plainText(word, 40))} cannot be a gauge's name.`,
    'Up to 40 letters, digits, blanks and . _ # -, a letter or digit first: "blue-box".',
  );
}

/** An address that can be opened later, and an empty sheet for it. */
export function sheetOf(url: string): GaugeSheet {
  const address = parseGaugeUrl(url);
  // Its options are tried now: a slip of the keyboard is better found here than in a trench.
  if (address.scheme === "serial" || address.scheme === "ble") findDriver(address.protocol).create(address.options);
  return { url: url.trim(), ...EMPTY_SHEET };
}
