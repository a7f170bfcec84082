import type { GaugeSheet } from "../core/gauges/sheet.ts";
import { usualDrift } from "../core/gauges/zeroHistory.ts";
import type { RecordStart } from "../core/record.ts";
import { plainText } from "../core/text.ts";
import { toUnit, type UnitName } from "../core/units.ts";
import type { GaugeZero, KitCheck } from "../storage/gaugeLogs.ts";
import type { DatedSheet, GaugeOnFile } from "../storage/gauges.ts";
import { duration } from "../terminal/figures.ts";
import { sourceWord } from "../terminal/plain.ts";
import { wallTime } from "../terminal/wall.ts";
import { table } from "./table.ts";

/** A pressure in the unit that gives it few digits: small ones in pascal, large ones in mbar. */
export function plainPressure(value_Pa: number): string {
  const unit: UnitName = Math.abs(value_Pa) < 1000 ? "Pa" : "mbar";
  return `${Number(toUnit(value_Pa, unit).toPrecision(4))} ${unit}`;
}

const change = (value_Pa: number): string => `${value_Pa > 0 ? "+" : ""}${Number(value_Pa.toFixed(2))} Pa`;
const percent = (fraction: number): string => `${Number((fraction * 100).toPrecision(3))} %`;

const rangeText = ({ low_Pa, high_Pa }: GaugeSheet): string =>
  low_Pa === null || high_Pa === null ? "range not told" : `${plainPressure(low_Pa)} to ${plainPressure(high_Pa)}`;

function accuracyText({ accuracy_fraction, accuracy_full_scale, accuracy_Pa }: GaugeSheet): string {
  if (accuracy_fraction !== null) return `within ${percent(accuracy_fraction)} of the reading`;
  if (accuracy_full_scale !== null) return `within ${percent(accuracy_full_scale)} of full scale`;
  return accuracy_Pa === null ? "accuracy not told" : `within ${plainPressure(accuracy_Pa)}`;
}

function calibrationText({ calibrated, due, certificate }: GaugeSheet, today: string | null): string {
  if (calibrated === null) return "calibration not told";
  const late = due !== null && today !== null && due < today ? " OUT OF DATE" : "";
  const by = certificate === null ? "" : `, certificate ${plainText(certificate, 60)}`;
  return `calibrated ${plainText(calibrated, 20)}, due ${plainText(due ?? "not told", 20)}${late}${by}`;
}

/** A gauge a line, in columns. */
export function gaugeLines(gauges: readonly GaugeOnFile[], today: string): string[] {
  const rows = gauges.map(({ name, sheet }) => [
    plainText(name, 40),
    rangeText(sheet),
    calibrationText(sheet, today),
    plainText(sheet.url, 120),
  ]);
  return table(rows);
}

export interface GaugePage {
  gauge: GaugeOnFile;
  sheets: readonly DatedSheet[];
  /** Newest first. */
  zeros: readonly GaugeZero[];
  checks: readonly KitCheck[];
  today: string;
}

/** All the archive knows of one gauge. */
export function gaugePage({ gauge, sheets, zeros, checks, today }: GaugePage): string[] {
  const { sheet } = gauge;
  const head: [string, string][] = [
    ["gauge", plainText(gauge.name, 60)],
    ["address", plainText(sheet.url, 200)],
    ["range", rangeText(sheet)],
    ["steps", sheet.resolution_Pa === null ? "not told" : plainPressure(sheet.resolution_Pa)],
    ["accuracy", accuracyText(sheet)],
    ["reference", sheet.reference ?? "as its protocol has it"],
    ["serial no.", sheet.serial === null ? "not told" : plainText(sheet.serial, 60)],
    ["in date", calibrationText(sheet, today)],
    ["calls itself", sheet.identity === null ? "nothing seen yet" : plainText(sheet.identity, 120)],
    ["USB", sheet.usb === null ? "nothing seen yet" : plainText(sheet.usb, 120)],
  ];
  const history = sheets.length < 2 ? [] : ["", "calibrations and changes:", ...sheets.map(sheetLine)];
  return [...head.map(([name, text]) => `${name.padEnd(12)} ${text}`), ...history, "", ...zeroLines(zeros), "", ...checkLines(checks)];
}

const sheetLine = ({ wall_ms, sheet }: DatedSheet): string => `  ${wallTime(wall_ms)}  ${calibrationText(sheet, null)}`;

function zeroLines(zeros: readonly GaugeZero[]): string[] {
  if (zeros.length === 0) return ["zeros: none kept yet (each test with this gauge keeps one before and one after)"];
  const drift_Pa = usualDrift(zeros);
  const worst = drift_Pa === null ? "" : `, usual change in a test ${plainPressure(drift_Pa)}`;
  const lines = zeros.map(
    ({ wall_ms, zero_Pa, moment, record }) =>
      `  ${wallTime(wall_ms)}  ${change(zero_Pa).padStart(10)}  ${moment.padEnd(6)}  ${plainText(record ?? "", 40)}`,
  );
  return [`zeros, newest first${worst}:`, ...lines];
}

const checkLines = (checks: readonly KitCheck[]): string[] =>
  checks.length === 0
    ? ["kit checks: none yet (staunch gauges kit-check NAME)"]
    : ["kit checks, newest first:", ...checks.map((c) => `  ${checkText(c)}`)];

/** The kit checks of a record's day, for those who read the record. */
export function kitCheckLines({ gauge }: Pick<RecordStart, "gauge">, checks: readonly KitCheck[]): string[] {
  if (gauge.name === undefined) return [];
  if (checks.length === 0) return ["kit check of the day: none"];
  return checks.map((check) => `kit check of the day: ${checkText(check)}`);
}

/** One kit check on one line. */
export function checkText({ wall_ms, pressure_Pa, duration_s, drop_Pa, u_drop_Pa, allowed_Pa, passed, source, note }: KitCheck): string {
  const small = (value_Pa: number): string => `${Number(value_Pa.toPrecision(value_Pa >= 100 ? 3 : 2))} Pa`;
  const lost = drop_Pa < 0 ? `rose ${small(-drop_Pa)}` : `lost ${small(drop_Pa)}`;
  const word = sourceWord(source);
  const parts = [
    `${wallTime(wall_ms)}  ${passed ? "PASS" : "FAIL"}: ${lost}${u_drop_Pa > 0 ? ` (± ${small(2 * u_drop_Pa)})` : ""} from ${plainPressure(pressure_Pa)} in ${duration(duration_s)}`,
    `at most ${small(allowed_Pa)}`,
    ...(word === null ? [] : [word]),
    ...(note === null ? [] : [plainText(note, 120)]),
  ];
  return parts.join(", ");
}
