import { toUnit, type UnitName } from "../../src/core/units.ts";
import { answerModbus, hearModbus, modbusOptions } from "./modbusSlave.ts";
import type { SimulatedSettings } from "./settings.ts";
import { speakEss } from "./speakEss.ts";
import type { PipeState } from "./state.ts";
import { barometer_Pa } from "./weather.ts";
import { transducerSentence, XDR_NAMES } from "./xdrSpeaker.ts";

/**
 * The pipe's gauge as bytes of a protocol.
 *
 *     line   1234.5 Pa CR LF             by itself at each sample; with sensors 1234.5 Pa;14.87;101325.0 CR LF
 *     scpi   *IDN? LF → maker,model,serial,version LF     READ? or MEAS:PRES? LF → +1.23450000E+03 LF at the next sample
 *     modbus 01 04 00 00 00 02 71 CB → 01 04 04, float32, CRC at the next sample; see modbusSlave.ts
 *     xdr    $YXXDR,P,1234.5,P,PIPE*hh CR LF by itself at each sample, see xdrSpeaker.ts
 *     ess    records of values, see speakEss.ts
 */
const UNITS: readonly UnitName[] = ["Pa", "mbar", "kPa", "mmH2O"];
/** Further digits a coarser unit needs to show the same steps. */
const MORE_DIGITS: Readonly<Partial<Record<UnitName, number>>> = { mbar: 2, kPa: 3, mmH2O: 1 };

const LONGEST_QUERY = 200;

export interface SpokenTo {
  /** Part of a query whose end has not come yet. */
  held: string;
  /** Queries for a pressure waiting for the next sample. */
  waiting: number;
}

export const notSpokenTo: SpokenTo = { held: "", waiting: 0 };

/** Which driver reads this gauge, with the options it needs. */
export function speakerFor(settings: SimulatedSettings): { protocol: string; driverOptions: Record<string, string> } {
  const { protocol, sensors, rate_Hz } = settings;
  const pace = {
    interval: String(Math.max(10, Math.floor(500 / rate_Hz))),
    timeout: String(Math.max(1000, Math.ceil(2000 / rate_Hz))),
  };
  if (protocol === "scpi") return { protocol, driverOptions: { query: "READ?", unit: "Pa", ...pace } };
  if (protocol === "modbus") return { protocol, driverOptions: modbusOptions(pace) };
  if (protocol === "ess") return { protocol, driverOptions: {} };
  if (protocol === "xdr") {
    const { pressure, air, ambient } = XDR_NAMES;
    return {
      protocol,
      driverOptions: { name: pressure, ...(sensors.air ? { airName: air } : {}), ...(sensors.ambient ? { ambientName: ambient } : {}) },
    };
  }
  return {
    protocol,
    driverOptions: {
      separator: "semicolon",
      field: "1",
      ...(sensors.air ? { airField: "2" } : {}),
      ...(sensors.ambient ? { ambientField: sensors.air ? "3" : "2", ambientUnit: "Pa" } : {}),
    },
  };
}

/** Bytes of plain ASCII text. */
function ascii(text: string): Uint8Array {
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
  return bytes;
}

const unitOf = (state: PipeState): UnitName => UNITS[state.unitChoice] ?? "Pa";
const isSilent = (state: PipeState): boolean => state.time_s < state.silentUntil_s;

function digitsFor(step: number): number {
  let digits = 0;
  while (digits < 4 && Math.abs(Math.round(step * 10 ** digits) - step * 10 ** digits) > 1e-9) digits += 1;
  return digits;
}

function printedLine(state: PipeState): Uint8Array {
  const { sensors, resolution_Pa } = state.plan.settings;
  const unit = unitOf(state);
  let text = `${toUnit(state.shown_Pa, unit).toFixed(digitsFor(resolution_Pa) + (MORE_DIGITS[unit] ?? 0))} ${unit}`;
  if (sensors.air) text += `;${(state.thermometer_K - 273.15).toFixed(2)}`;
  if (sensors.ambient) text += `;${barometer_Pa(state).toFixed(1)}`;
  return ascii(`${text}\r\n`);
}

/** A sentence has two units only: pascal, and bar in place of all others. */
const spokenSentence = (state: PipeState): Uint8Array =>
  ascii(transducerSentence(state, digitsFor(state.plan.settings.resolution_Pa), unitOf(state) === "Pa" ? "Pa" : "bar"));

/** What was asked for, at the sample it waited for. */
function answer({ held }: SpokenTo, state: PipeState): Uint8Array {
  if (state.plan.settings.protocol !== "modbus") return numericReply(state);
  return answerModbus(held, state.sample === 0 ? Number.NaN : toUnit(state.shown_Pa, unitOf(state)));
}

/** NR3, as IEEE 488.2 §8.7.4 writes numbers. Before the first sample there is no value. */
function numericReply(state: PipeState): Uint8Array {
  if (state.sample === 0) return ascii("9.91E37\n");
  const [mantissa = "0", power = "+0"] = toUnit(state.shown_Pa, unitOf(state)).toExponential(8).split("e");
  const digits = power.slice(1).padStart(2, "0");
  return ascii(`${mantissa.startsWith("-") ? "" : "+"}${mantissa}E${power[0]}${digits}\n`);
}

/** What the gauge says at a sample: a line by itself, or the answers that were waiting for it. */
export function speak(spokenTo: SpokenTo, state: PipeState): { spokenTo: SpokenTo; said: Uint8Array | null } {
  const { protocol } = state.plan.settings;
  if (protocol === "line") return { spokenTo, said: isSilent(state) ? null : printedLine(state) };
  if (protocol === "xdr") return { spokenTo, said: isSilent(state) ? null : spokenSentence(state) };
  if (protocol === "ess") return { spokenTo, said: isSilent(state) ? null : speakEss(state) };
  if (spokenTo.waiting === 0) return { spokenTo, said: null };
  // Asked twice before the sample came: a gauge whose buffer holds one query answers once.
  return { spokenTo: { ...spokenTo, waiting: 0 }, said: isSilent(state) ? null : answer(spokenTo, state) };
}

/** Takes in bytes sent to the gauge; `said` is what it answers at once. A gauge that talks by itself, or is silent, takes no notice. */
export function listen(spokenTo: SpokenTo, state: PipeState, bytes: Uint8Array): { spokenTo: SpokenTo; said: Uint8Array | null } {
  const { protocol } = state.plan.settings;
  if (protocol === "line" || protocol === "xdr" || protocol === "ess" || isSilent(state)) return { spokenTo, said: null };
  if (protocol === "modbus") {
    const { said, ...heard } = hearModbus(spokenTo, bytes);
    return { spokenTo: heard, said };
  }
  const parts = (spokenTo.held + String.fromCharCode(...bytes.subarray(0, LONGEST_QUERY))).split(/[\r\n]+/);
  const held = (parts.pop() ?? "").slice(-LONGEST_QUERY);
  let answers = "";
  let { waiting } = spokenTo;
  for (const part of parts) {
    const query = part.trim().toUpperCase();
    if (query === "*IDN?") answers += `STAUNCH,SIMULATED PIPE,${state.plan.settings.seed},1\n`;
    else if (/^SYST(EM)?:ERR(OR)?(:NEXT)?\?$/.test(query)) answers += '0,"No error"\n';
    else if (/^(READ|FETC(H)?|MEAS(URE)?:PRES(SURE)?)\?$/.test(query)) waiting += 1;
  }
  return { spokenTo: { held, waiting }, said: answers === "" ? null : ascii(answers) };
}
