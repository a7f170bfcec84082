import { type StaunchError, usageError } from "./errors.ts";

/**
 * Pascal in one of each unit, by definition: conventional water 1000 kg/m³ and mercury 13 595.1 kg/m³ under
 * 9.80665 m/s², inch 0.0254 m, pound 0.45359237 kg (NIST SP 811 appendix B.8 prints them rounded).
 */
const FACTORS_Pa = {
  Pa: 1,
  hPa: 100,
  mbar: 100,
  kPa: 1000,
  bar: 100_000,
  mmH2O: 9.80665,
  cmH2O: 98.0665,
  inH2O: 249.08891,
  inHg: 3386.388640341,
  mmHg: 133.322387415,
  psi: (0.45359237 * 9.80665) / 0.0254 ** 2,
} as const;

/** A unit of pressure as we write it. */
export type UnitName = keyof typeof FACTORS_Pa;

export const UNIT_NAMES = Object.keys(FACTORS_Pa) as readonly UnitName[];

/** What crews, papers and gauges write; looked up after blanks, dots and case are gone. A bare "mm" is water in this trade. */
const ALIASES: Readonly<Record<string, UnitName>> = {
  pascal: "Pa",
  hectopascal: "hPa",
  millibar: "mbar",
  mb: "mbar",
  kilopascal: "kPa",
  mm: "mmH2O",
  mmwg: "mmH2O",
  mmwc: "mmH2O",
  mmws: "mmH2O",
  mmce: "mmH2O",
  mmwater: "mmH2O",
  mmwatergauge: "mmH2O",
  mmofwater: "mmH2O",
  cmwg: "cmH2O",
  cmwc: "cmH2O",
  cmwater: "cmH2O",
  inwg: "inH2O",
  inwc: "inH2O",
  inwater: "inH2O",
  '"wc': "inH2O",
  '"wg': "inH2O",
  '"h2o': "inH2O",
  '"hg': "inHg",
  inmercury: "inHg",
  inchesofmercury: "inHg",
  mmmercury: "mmHg",
  psig: "psi",
  lbfin2: "psi",
};

const BY_KEY = new Map<string, UnitName>([
  ...Object.entries(ALIASES),
  ...UNIT_NAMES.map((name): [string, UnitName] => [name.toLowerCase(), name]),
]);

/** Our name for a unit however it is spelt; `undefined` when it is none of ours. */
export function canonicalUnit(name: string): UnitName | undefined {
  const key = name
    .toLowerCase()
    .replaceAll("₂", "2")
    .replaceAll("″", '"')
    .replace(/[\s._/²]+/g, "");
  return BY_KEY.get(key);
}

/** Pascal in one of the unit; `undefined` when it is none of ours. */
export function unitFactor_Pa(name: string): number | undefined {
  const unit = canonicalUnit(name);
  return unit === undefined ? undefined : FACTORS_Pa[unit];
}

/** Pascal as a figure in `unit`. */
export const toUnit = (pressure_Pa: number, unit: UnitName): number => pressure_Pa / FACTORS_Pa[unit];

/** Larger figures than any drain test, gauge or weather gives; beyond it a number is a slip of the keyboard or of a unit. */
export const ABSURD_Pa = 1_000_000;

const NUMBER = String.raw`[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?`;
const QUANTITY = new RegExp(`^(${NUMBER})\\s*([^\\d,.].*)?$`, "i");

interface Quantity {
  value: number;
  unit: string;
}

function readQuantity(text: string): Quantity | undefined {
  const match = QUANTITY.exec(text.trim().replace(/^−/, "-"));
  if (match === null) return undefined;
  const value = Number(match[1]);
  return Number.isFinite(value) ? { value, unit: (match[2] ?? "").trim() } : undefined;
}

const quoted = (text: string): string => JSON.stringify(text.length > 60 ? `${text.slice(0, 60)}…` : text);

const nonsense = (code: string, what: string, text: string, hint: string): StaunchError =>
  usageError(code, `${quoted(text)} is not ${what}.`, text.includes(",") ? `${hint} The decimal sign is a point.` : hint);

/** "100 mm", "2.5mbar", "-34 kPa" → pascal. A StaunchError (`pressure-unreadable`, `unit-unknown`) for anything else. */
export function parsePressure(text: string): number {
  const quantity = readQuantity(text);
  if (quantity === undefined || quantity.unit === "")
    throw nonsense("pressure-unreadable", "a pressure", text, 'Write a number and a unit, such as "100 mmH2O" or "2.5 mbar".');
  const factor = unitFactor_Pa(quantity.unit);
  if (factor === undefined)
    throw usageError(
      "unit-unknown",
      `${quoted(quantity.unit)} is not a unit of pressure known here.`,
      `Known units: ${UNIT_NAMES.join(", ")}.`,
    );
  return quantity.value * factor;
}

type Scale = Readonly<Record<string, number>>;

function parseScaled(text: string, scale: Scale, code: string, what: string, hint: string): number {
  const quantity = readQuantity(text);
  const factor = quantity && Object.hasOwn(scale, quantity.unit.toLowerCase()) ? scale[quantity.unit.toLowerCase()] : undefined;
  if (quantity === undefined || factor === undefined) throw nonsense(code, what, text, hint);
  return quantity.value * factor;
}

function within(value: number, low: number, high: number, error: () => StaunchError): number {
  if (value >= low && value <= high) return value;
  throw error();
}

const METRES: Scale = {
  "": 1,
  m: 1,
  metre: 1,
  metres: 1,
  km: 1000,
  cm: 0.01,
  mm: 0.001,
  ft: 0.3048,
  feet: 0.3048,
  "'": 0.3048,
};
const LENGTH_HINT = 'Write metres or feet: "45" or "150ft", up to 10 km.';

/** "45" or "150ft" → metres, 0.01 m to 10 km. */
export function parseLength(text: string): number {
  const length_m = parseScaled(text, METRES, "length-unreadable", "a length", LENGTH_HINT);
  return within(length_m, 0.01, 10_000, () => nonsense("length-unreadable", "a length a section can have", text, LENGTH_HINT));
}

const MILLIMETRES: Scale = {
  "": 1,
  mm: 1,
  m: 1000,
  in: 25.4,
  inch: 25.4,
  inches: 25.4,
  '"': 25.4,
  "″": 25.4,
};
const DN_HINT = 'Write millimetres or inches: "300", "DN300" or "12in", from 10 mm to 10 m.';

/** "300", "DN 300" or "12in" → millimetres, 10 to 10 000. */
export function parseDn(text: string): number {
  const dn_mm = parseScaled(text.replace(/^\s*dn\s*/i, ""), MILLIMETRES, "dn-unreadable", "a pipe size", DN_HINT);
  return within(dn_mm, 10, 10_000, () => nonsense("dn-unreadable", "a size a pipe can have", text, DN_HINT));
}

const SECONDS: Scale = {
  s: 1,
  sec: 1,
  second: 1,
  seconds: 1,
  min: 60,
  minute: 60,
  minutes: 60,
  h: 3600,
  hour: 3600,
  hours: 3600,
};
const DURATION_PART = new RegExp(`(${NUMBER})\\s*([a-z]+)\\s*`, "giy");
const DURATION_HINT = 'Write a number and a unit, such as "5 min", "90 s" or "1 min 30 s".';

/** "5 min", "90 s", "1 min 30 s" → seconds. Negative times are read as they stand; who uses them refuses them. */
export function parseDuration(text: string): number {
  const trimmed = text.trim();
  let seconds = 0;
  let end = 0;
  for (const part of trimmed.matchAll(DURATION_PART)) {
    seconds += parseScaled(part[0], SECONDS, "duration-unreadable", "a length of time", DURATION_HINT);
    end = part.index + part[0].length;
  }
  if (trimmed === "" || end !== trimmed.length) throw nonsense("duration-unreadable", "a length of time", text, DURATION_HINT);
  return seconds;
}
