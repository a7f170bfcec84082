/**
 * Transducer sentences of NMEA 0183 (4.11), which a talker sends by itself.
 *
 *     $WIXDR,C,24.59,C,TEMP,P,1.02412,B,BARO*5E CR LF
 *      ││└┬┘ └── C ───────┘ └────── P ─────┘ └ exclusive-or of all between $ and *, two hexadecimal digits
 *      └ talker  type, value, unit, name; again for each transducer
 *
 *     type P: pressure, unit B bar or P pascal, minus is vacuum      type C: temperature, unit C degrees Celsius
 *
 * Other sentences and other types are passed over. A sentence whose checksum is wrong is counted as unused, never read.
 */
import type { Driver, DriverEntry, DriverEvent, DriverStep, Reading } from "../src/core/driver.ts";
import { hexAt, xorOf } from "./framing/checksum.ts";
import { readFigure } from "./framing/figure.ts";
import { cutLines, type HeldBytes, type Line, noBytes } from "./framing/lines.ts";
import { choice, type Options, optionalWhole, questionOption, refuseUnknown } from "./framing/options.ts";

const PROTOCOL = "xdr";
/** The standard ends a sentence at 82 characters; talkers with many transducers do not. */
const LONGEST_SENTENCE = 256;
const DOLLAR = 0x24;
const STAR = 0x2a;

const OPTIONS = {
  name: "name of the pressure transducer, its fourth field (default: any)",
  index: "which pressure transducer of the sentence when several fit, counted from 1 (default 1)",
  airName: "name of the temperature transducer in the pipe's air",
  ambientName: "name of the pressure transducer in the open air",
  reference: "vented or absolute: what the pressure stands on (default vented)",
  missingChecksum: "refuse or accept sentences that end without a checksum (default refuse)",
} as const;

interface Settings {
  name: string | undefined;
  index: number;
  airName: string | undefined;
  ambientName: string | undefined;
  reference: "vented" | "absolute";
  bare: "refuse" | "accept";
}

interface Transducer {
  type: string;
  value: string;
  unit: string;
  name: string;
}

/** Bar and pascal; the unit's letter is what the talker spoke, ours is beside it. */
const PRESSURE_UNITS: Readonly<Record<string, { unit: string; factor_Pa: number }>> = {
  B: { unit: "bar", factor_Pa: 100_000 },
  P: { unit: "Pa", factor_Pa: 1 },
};

function settingsOf(options: Options): Settings {
  refuseUnknown(PROTOCOL, OPTIONS, options);
  return {
    name: questionOption(PROTOCOL, options, "name"),
    index: optionalWhole(PROTOCOL, options, "index", 1, 32) ?? 1,
    airName: questionOption(PROTOCOL, options, "airName"),
    ambientName: questionOption(PROTOCOL, options, "ambientName"),
    reference: choice(PROTOCOL, options, "reference", ["vented", "absolute"], "vented"),
    bare: choice(PROTOCOL, options, "missingChecksum", ["refuse", "accept"], "refuse"),
  };
}

/** The fields of a sentence between `$` and `*`; `null` when it is none or its checksum does not fit. */
function fieldsOf({ bytes }: Line, from: number, bare: Settings["bare"]): string[] | null {
  const star = bytes.indexOf(STAR, from);
  if (star < 0 && bare === "refuse") return null;
  if (star >= 0 && hexAt(bytes, star + 1, bytes.length, 2) !== xorOf(bytes, from + 1, star)) return null;
  const until = star < 0 ? bytes.length : star;
  let text = "";
  for (const byte of bytes.subarray(from + 1, until)) text += String.fromCharCode(byte);
  const fields = text.split(",");
  return /^[A-Z0-9]{2}XDR$/.test(fields[0] ?? "") ? fields : null;
}

function transducersOf(fields: readonly string[]): Transducer[] {
  const found: Transducer[] = [];
  for (let i = 1; i + 2 < fields.length; i += 4)
    found.push({ type: fields[i] ?? "", value: fields[i + 1] ?? "", unit: fields[i + 2] ?? "", name: fields[i + 3] ?? "" });
  return found;
}

/** Fills in pressure or the reason there is none. */
function takePressure(reading: Reading, { value, unit: letter }: Transducer): void {
  const figure = readFigure(value, "point");
  const unit = Object.hasOwn(PRESSURE_UNITS, letter) ? PRESSURE_UNITS[letter] : undefined;
  reading.unit = unit?.unit ?? null;
  if (figure.kind === "status") reading.status = figure.status;
  else if (figure.kind === "noise" || figure.suffix !== "") reading.status = "not-a-number";
  else if (unit === undefined) reading.status = "unit-unknown";
  else reading.pressure_Pa = figure.value * unit.factor_Pa;
}

function sideFigure({ value }: Transducer): number | null {
  const figure = readFigure(value, "point");
  return figure.kind === "number" && figure.suffix === "" ? figure.value : null;
}

/** What one sentence says; `null` when it has no pressure of ours. */
function readSentence(settings: Settings, transducers: readonly Transducer[], at_ms: number): Reading | null {
  const { name, index, airName, ambientName } = settings;
  const pressures = transducers.filter((one) => one.type === "P");
  // A transducer named as the open air's is not the pipe's unless that is asked for by name.
  const ours = pressures.filter((one) => (name === undefined ? one.name !== ambientName : one.name === name))[index - 1];
  if (ours === undefined) return null;
  const reading: Reading = { at_ms, pressure_Pa: null, unit: null };
  takePressure(reading, ours);
  if (airName !== undefined) {
    const air = transducers.find((one) => one.type === "C" && one.name === airName);
    reading.air_C = air === undefined || air.unit !== "C" ? null : sideFigure(air);
  }
  if (ambientName !== undefined) {
    const ambient = pressures.find((one) => one.name === ambientName);
    const factor_Pa = ambient === undefined ? undefined : PRESSURE_UNITS[ambient.unit]?.factor_Pa;
    const value = ambient === undefined ? null : sideFigure(ambient);
    reading.ambient_Pa = value === null || factor_Pa === undefined ? null : value * factor_Pa;
  }
  return reading;
}

function xdrDriver(settings: Settings): Driver<HeldBytes> {
  function next(held: HeldBytes, event: DriverEvent): DriverStep<HeldBytes> {
    if (event.kind === "wake") return { state: held, readings: [], send: [], unused: 0 };
    if (event.kind === "opened") return { state: noBytes, readings: [], send: [], unused: held.bytes.length };
    const cut = cutLines(held, event.bytes, "any", LONGEST_SENTENCE);
    const step: DriverStep<HeldBytes> = { state: cut.held, readings: [], send: [], unused: cut.unused };
    for (const line of cut.lines) {
      // Noise may stand before a sentence whose own bytes are whole.
      const from = line.bytes.lastIndexOf(DOLLAR);
      const fields = from < 0 ? null : fieldsOf(line, from, settings.bare);
      const reading = fields === null ? null : readSentence(settings, transducersOf(fields), event.at_ms);
      if (reading !== null) step.readings.push(reading);
      step.unused += reading === null ? line.size : from;
    }
    return step;
  }
  return { protocol: PROTOCOL, reference: settings.reference, link: { baud: 4800 }, start: () => noBytes, next };
}

export const xdr: DriverEntry = {
  protocol: PROTOCOL,
  title: "NMEA 0183 transducer sentences (XDR)",
  source: "NMEA 0183 version 4.11, sentence XDR (read in a public extract of its table)",
  options: OPTIONS,
  create: (options) => xdrDriver(settingsOf(options)),
};
