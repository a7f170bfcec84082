/**
 * Gauges with the Bluetooth SIG's Environmental Sensing Service (0x181A), each value as its characteristic notifies it.
 *
 *     2A6D  C8 95 0F 00     pressure      uint32 LE, 0.1 Pa            → 102138.4 Pa
 *     2A6E  E2 06           temperature   sint16 LE, 0.01 °C; 0x8000 not known  → 17.62 °C
 *     2A19  57              battery       uint8, %  (service 0x180F)   → 87 %
 *
 * The pressure cannot be negative and does not say what it stands on: it is taken for that of an absolute sensor unless
 * `reference=vented` is told.
 */
import type { Driver, DriverEntry, DriverEvent, DriverStep, Reading } from "../src/core/driver.ts";
import { choice, type Options, refuseUnknown } from "./framing/options.ts";
import { addressIn, cutRecords, labelOf, type ValueRecord } from "./framing/records.ts";

const PROTOCOL = "ess";
const OPTIONS = { reference: "absolute or vented: what the sensor's pressure stands on (default absolute)" } as const;

const PRESSURE = 0x2a6d;
const TEMPERATURE = 0x2a6e;
const BATTERY = 0x2a19;
const LENGTHS: Readonly<Record<number, number>> = { [PRESSURE]: 4, [TEMPERATURE]: 2, [BATTERY]: 1 };
/** The link's own word is an address of 17 or an identifier of 32 characters. */
const fits = (label: number, length: number): boolean => (label === 0 ? length === 17 || length === 32 : LENGTHS[label] === length);

interface EssState {
  held: Uint8Array;
  /** As last told; a temperature comes by itself, not with a pressure. */
  air_C: number | null;
}

const start = (): EssState => ({ held: new Uint8Array(0), air_C: null });

function pressureIn(value: Uint8Array, at_ms: number, air_C: number | null): Reading {
  const tenths = new DataView(value.buffer, value.byteOffset).getUint32(0, true);
  const side = air_C === null ? {} : { air_C };
  // All ones is what an unsigned value without a "not known" of its own is filled with: common practice, no source.
  if (tenths === 0xffffffff) return { at_ms, pressure_Pa: null, unit: "Pa", ...side, status: "not-a-number" };
  return { at_ms, pressure_Pa: tenths / 10, unit: "Pa", ...side };
}

function temperatureIn(value: Uint8Array): number | null {
  const hundredths = new DataView(value.buffer, value.byteOffset).getInt16(0, true);
  return hundredths === -0x8000 ? null : hundredths / 100;
}

function take(step: DriverStep<EssState>, record: ValueRecord, at_ms: number): void {
  const { state } = step;
  const address = addressIn(record);
  if (address !== null) step.identity = address;
  else if (record.label === PRESSURE) step.readings.push(pressureIn(record.value, at_ms, state.air_C));
  else if (record.label === TEMPERATURE) state.air_C = temperatureIn(record.value);
  else if (record.label === BATTERY) step.battery_percent = Math.min(100, record.value[0] ?? 0);
  else step.unused += 3 + record.value.length;
}

function next(state: EssState, event: DriverEvent): DriverStep<EssState> {
  // A record is never cut by a lost link, so what is held then is noise.
  if (event.kind === "opened") return { state: start(), readings: [], send: [], unused: state.held.length };
  if (event.kind === "wake") return { state, readings: [], send: [], unused: 0 };
  const { held, records, unused } = cutRecords(state.held, event.bytes, fits);
  const step: DriverStep<EssState> = { state: { held, air_C: state.air_C }, readings: [], send: [], unused };
  for (const record of records) take(step, record, event.at_ms);
  return step;
}

function create(options: Options): Driver<EssState> {
  refuseUnknown(PROTOCOL, OPTIONS, options);
  return {
    protocol: PROTOCOL,
    reference: choice(PROTOCOL, options, "reference", ["absolute", "vented"], "absolute"),
    link: {},
    bluetooth: { services: ["181a", "180f"], notify: ["2a6d", "2a6e", "2a19"].map((uuid) => ({ uuid, label: labelOf(uuid) })) },
    start,
    next,
  };
}

export const ess: DriverEntry = {
  protocol: PROTOCOL,
  title: "Bluetooth Environmental Sensing (pressure, temperature, battery)",
  source: "Bluetooth SIG: Environmental Sensing Service 1.0; GATT Specification Supplement (Pressure, Temperature, Battery Level)",
  options: OPTIONS,
  create,
};
