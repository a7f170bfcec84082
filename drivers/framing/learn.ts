/**
 * From what a gauge was heard to say to the options of protocol `line` that read it. Every step says why, so that a person can judge it;
 * the proposal is tried on the very lines it was made from.
 *
 *     bytes ─► silent?  binary?  xdr? ─► line ends ─► checksum ─► separator, decimal ─► what each column is ─► options ─► tried
 */
import { line } from "../line.ts";
import { type Column, type Grid, gridOf, nearAtmosphere, type Role, valuesOf } from "./columns.ts";
import { type HeardChunk, type HeardLine, joined, linesHeard, looksModbus, rateOf, shareOfText, terminatorOf } from "./hearing.ts";
import { reasonsFor } from "./learnWords.ts";
import { TERMINATORS, type Terminator } from "./lines.ts";
import { type Seal, sealOf, withoutSeal } from "./seals.ts";

export interface LineProposal {
  kind: "line";
  options: Record<string, string>;
  /** Unit the gauge speaks, by our name; `null` when it says none and one has to be told. */
  unit: string | null;
  /** Share of the lines that became readings when tried, 0 to 1. */
  share: number;
  confidence: "good" | "fair" | "poor";
  /** Sentences for people. */
  because: string[];
  rate_Hz: number | null;
  /** Worth of the last digit printed and smallest step seen between readings, in the gauge's unit. */
  lastDigit: number;
  smallestStep: number | null;
}

export type Learned = {
  /** The last lines as they came; untrusted. */
  lines: string[];
} & (
  | { kind: "silent" }
  | { kind: "binary"; bytes: number; modbus: boolean }
  | { kind: "no-lines"; bytes: number }
  | { kind: "no-figures" }
  | { kind: "xdr"; names: string[]; checksums: boolean }
  | LineProposal
);

const LINES_SHOWN = 5;
const FEW_LINES = 5;
const TEXT = 0.9;
const GOOD = 0.9;
const FAIR = 0.6;

/** A talker of NMEA 0183 has a protocol of its own. */
function asXdr(lines: readonly HeardLine[]): { names: string[]; checksums: boolean } | null {
  const sentences = lines.filter(({ text }) => /^\$[A-Z0-9]{2}XDR,/.test(text));
  const names = sentences.flatMap(({ text }) => [...text.matchAll(/,P,[^,*]*,[BP],([^,*]*)/g)].map((match) => match[1] ?? ""));
  if (names.length === 0) return null;
  return { names: [...new Set(names)], checksums: sentences.some(({ text }) => /\*[0-9A-F]{2}\s*$/i.test(text)) };
}

/** Share of the lines a driver with these options makes a pressure of, with some unit where the gauge says none. */
function tried(options: Readonly<Record<string, string>>, lines: readonly HeardLine[], terminator: Terminator): number {
  const driver = line.create({ unit: "Pa", ...options });
  const end = [...TERMINATORS[terminator]].map((sign) => sign.charCodeAt(0));
  const bytes = Uint8Array.from(lines.flatMap((one) => [...one.bytes, ...end]));
  const step = driver.next(driver.start(), { kind: "bytes", at_ms: 0, bytes });
  return step.readings.filter((one) => one.pressure_Pa !== null).length / lines.length;
}

function optionsOf(
  { separator, decimal, columns }: Grid,
  pressure: Column,
  seal: Seal | null,
  terminator: Terminator,
): Record<string, string> {
  const options: Record<string, string> = {
    terminator,
    ...(separator === null ? {} : { separator }),
    ...(decimal === "comma" ? { decimal } : {}),
  };
  const put = (name: string, at: number): void => {
    if (at >= 0) options[name] = String(at + 1);
  };
  const find = (role: Role): number => columns.findIndex((one) => one.role === role);
  const at = columns.indexOf(pressure);
  if (separator !== null) put("field", at);
  if (columns[at + 1]?.role === "unit") put("unitField", at + 1);
  if (columns[at - 1]?.role === "sign") put("signField", at - 1);
  put("airField", find("air"));
  put("ambientField", find("ambient"));
  const ambient = columns[find("ambient")];
  if (ambient !== undefined) options["ambientUnit"] = ambient.unit?.name ?? (valuesOf(ambient).every((one) => one < 2000) ? "hPa" : "Pa");
  if (nearAtmosphere(pressure) && pressure.unit !== null) options["reference"] = "absolute";
  return { ...options, ...seal };
}

/** Digits behind the point or comma, the most that were seen. */
function lastDigitOf(pressure: Column): number {
  const digits = pressure.texts.map((text) => /\d[.,](\d+)/.exec(text)?.[1]?.length ?? 0);
  return 10 ** -Math.max(0, ...digits);
}

function smallestStepOf(pressure: Column): number | null {
  const seen = valuesOf(pressure);
  const steps = seen.slice(1).flatMap((value, i) => (value === seen[i] ? [] : [Math.abs(value - (seen[i] ?? value))]));
  return steps.length === 0 ? null : Number(Math.min(...steps).toPrecision(6));
}

function proposal(lines: readonly HeardLine[], terminator: Terminator, why: string): Omit<LineProposal, "lines"> | null {
  const seal = sealOf(lines);
  const found = gridOf(lines.map((one) => withoutSeal(one, seal)));
  if (found === null) return null;
  const { grid, pressure } = found;
  const options = optionsOf(grid, pressure, seal, terminator);
  const share = tried(options, lines, terminator);
  const doubt = lines.length < FEW_LINES || pressure.unit === null || grid.doubtful;
  return {
    kind: "line",
    options,
    unit: pressure.unit?.name ?? null,
    share,
    confidence: share >= GOOD && !doubt ? "good" : share >= FAIR ? "fair" : "poor",
    because: [why, ...reasonsFor(pressure, options, grid, seal)],
    rate_Hz: rateOf(lines),
    lastDigit: lastDigitOf(pressure),
    smallestStep: smallestStepOf(pressure),
  };
}

/** Proposes how to read what was heard; says so when there was nothing, or nothing that is text. */
export function learn(chunks: readonly HeardChunk[]): Learned {
  const bytes = joined(chunks);
  if (bytes.length === 0) return { kind: "silent", lines: [] };
  if (shareOfText(bytes) < TEXT) return { kind: "binary", bytes: bytes.length, modbus: looksModbus(chunks), lines: [] };
  const end = terminatorOf(bytes);
  if (end === null) return { kind: "no-lines", bytes: bytes.length, lines: [String.fromCharCode(...bytes.subarray(-200))] };
  const lines = linesHeard(chunks, end.terminator);
  const shown = lines.slice(-LINES_SHOWN).map((one) => one.text);
  const xdr = asXdr(lines);
  if (xdr !== null) return { kind: "xdr", ...xdr, lines: shown };
  const found = lines.length === 0 ? null : proposal(lines, end.terminator, end.why);
  return found === null ? { kind: "no-figures", lines: shown } : { ...found, lines: shown };
}
