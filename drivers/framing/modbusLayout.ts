/** Which registers of a Modbus gauge hold what, as its address describes them. */
import type { Reference } from "../../src/core/driver.ts";
import { usageError } from "../../src/core/errors.ts";
import type { Pace } from "./asking.ts";
import { MOST_REGISTERS, type Question } from "./modbusFrame.ts";
import { choice, type Options, optionalDecimal, optionalWhole, refuseUnknown, required, unitOption } from "./options.ts";
import { REGISTER_TYPES, type RegisterType, registersOf, WORD_ORDERS, type WordOrder } from "./registers.ts";

export const PROTOCOL = "modbus";

export const OPTIONS = {
  address: "the gauge's address on the line, 1 to 247 (default 1)",
  function: "3 for holding registers, 4 for input registers (default 3)",
  register: "first register of the pressure as sent, from 0: what a manual calls 40001 or 30001 is 0",
  type: `what the register holds: ${REGISTER_TYPES.join(", ")}`,
  order: "ABCD or big: high word first; CDAB or little: low word first; BADC, DCBA: the same with bytes swapped (default ABCD)",
  unit: "unit of the pressure",
  scale: "the figure is the register times this (default 1)",
  offset: "added to the figure after scaling, in its unit (default 0)",
  airRegister: "first register of the air temperature; registers are read together, so at most 125 apart",
  airType: "type of the air temperature (default int16)",
  airScale: "degrees Celsius in one of its counts (default 0.1, with float32 1)",
  ambientRegister: "first register of the atmospheric pressure, at most 125 apart from the others",
  ambientType: "type of the atmospheric pressure (default float32)",
  ambientScale: "its figure is the register times this (default 1)",
  ambientUnit: "unit of the atmospheric pressure (default Pa)",
  reference: "vented or absolute: what the pressure stands on (default vented)",
  interval: "milliseconds between questions, 10 to 2000 (default 100)",
  timeout: "milliseconds to wait for an answer before asking again, 50 to 2000 (default 1000)",
} as const;

/** One number: where it stands, and how its figure becomes ours (Pa, degrees Celsius). */
export interface Field {
  register: number;
  type: RegisterType;
  scale: number;
  offset: number;
}

export interface ModbusLayout {
  question: Question;
  order: WordOrder;
  pressure: Field;
  air: Field | null;
  ambient: Field | null;
  reference: Reference;
  pace: Pace;
}

const whole = (options: Options, name: string, low: number, high: number) => optionalWhole(PROTOCOL, options, name, low, high);
const decimal = (options: Options, name: string) => optionalDecimal(PROTOCOL, options, name, 1e9);

function scaleOf(options: Options, name: string): number | undefined {
  const scale = decimal(options, name);
  if (scale !== 0) return scale;
  throw usageError("gauge-option", `${name}="0" does not fit protocol ${PROTOCOL}.`, `With ${name} 0 every figure would be 0.`);
}

function pressureField(options: Options): Field {
  const register = required(PROTOCOL, "register", whole(options, "register", 0, 65_535), "register=0");
  required(PROTOCOL, "type", options["type"], "type=float32");
  const unit = required(PROTOCOL, "unit", unitOption(PROTOCOL, options, "unit"), "unit=mbar");
  return {
    register,
    type: choice(PROTOCOL, options, "type", REGISTER_TYPES, "int16"),
    scale: (scaleOf(options, "scale") ?? 1) * unit.factor_Pa,
    offset: (decimal(options, "offset") ?? 0) * unit.factor_Pa,
  };
}

function airField(options: Options): Field | null {
  const register = whole(options, "airRegister", 0, 65_535);
  const type = choice(PROTOCOL, options, "airType", REGISTER_TYPES, "int16");
  const scale = scaleOf(options, "airScale") ?? (type === "float32" ? 1 : 0.1);
  return register === undefined ? null : { register, type, scale, offset: 0 };
}

function ambientField(options: Options): Field | null {
  const register = whole(options, "ambientRegister", 0, 65_535);
  const type = choice(PROTOCOL, options, "ambientType", REGISTER_TYPES, "float32");
  const scale = (scaleOf(options, "ambientScale") ?? 1) * (unitOption(PROTOCOL, options, "ambientUnit")?.factor_Pa ?? 1);
  return register === undefined ? null : { register, type, scale, offset: 0 };
}

/** One question for all of them: so no answer can be taken for another's. */
function spanOf(fields: readonly Field[]): { register: number; count: number } {
  const register = Math.min(...fields.map((one) => one.register));
  const end = Math.max(...fields.map((one) => one.register + registersOf(one.type)));
  if (end > 65_536)
    throw usageError(
      "gauge-option",
      `A number of two registers cannot begin at register ${end - 2} of protocol ${PROTOCOL}.`,
      "65535 is the last register.",
    );
  if (end - register <= MOST_REGISTERS) return { register, count: end - register };
  throw usageError(
    "gauge-option",
    `Registers ${register} to ${end - 1} are too far apart for protocol ${PROTOCOL}.`,
    `They are read in one question, which takes ${MOST_REGISTERS} registers at most: leave out airRegister or ambientRegister.`,
  );
}

/** Reads the options; a StaunchError `gauge-option` (64) names the one that does not fit. */
export function modbusLayout(options: Options): ModbusLayout {
  refuseUnknown(PROTOCOL, OPTIONS, options);
  const address = whole(options, "address", 1, 247) ?? 1;
  const fn = choice(PROTOCOL, options, "function", ["3", "4"], "3") === "3" ? 3 : 4;
  const pressure = pressureField(options);
  const air = airField(options);
  const ambient = ambientField(options);
  return {
    question: { address, fn, ...spanOf([pressure, air, ambient].filter((one) => one !== null)) },
    order: choice(PROTOCOL, options, "order", WORD_ORDERS, "ABCD"),
    pressure,
    air,
    ambient,
    reference: choice(PROTOCOL, options, "reference", ["vented", "absolute"], "vented"),
    pace: {
      interval_ms: whole(options, "interval", 10, 2000) ?? 100,
      timeout_ms: whole(options, "timeout", 50, 2000) ?? 1000,
    },
  };
}
