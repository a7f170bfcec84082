import type { Command as CommandLine } from "commander";
import { usageError } from "../core/errors.ts";
import type { Told } from "../core/methods/method.ts";
import { parseDn, parseDuration, parseLength, parsePressure } from "../core/units.ts";

/** What may be said of a section and its test with air besides size, material and length, as commander hands it over. */
export interface AirWords {
  bore?: string | undefined;
  groundwater?: string | undefined;
  traps?: boolean | undefined;
  airInChamber?: string | undefined;
  hold?: string | undefined;
  permittedDrop?: string | undefined;
  testPressure?: string | undefined;
}

/** Adds those options to a command. */
export const airOptions = (line: CommandLine): CommandLine =>
  line
    .option("--bore <size>", "inner diameter where the DN is the outer one, for volume and thrust")
    .option("--groundwater <height>", "air: how high groundwater stands above the pipe's crown: 0.5 (m) or 2ft")
    .option("--traps", "air: traps or gullies stay in the section, which only gentle methods may test")
    .option("--air-in-chamber <rule>", "air: the section is a chamber by itself; national rules for air there: allowed or forbidden")
    .option("--hold <time>", 'air: the specification\'s time where the method has none, or a longer one: "5 min"')
    .option("--permitted-drop <pressure>", 'air: the specification\'s loss where the method leaves it open: "1 kPa"')
    .option("--test-pressure <pressure>", 'air: the pressure specified for testing joints: "100 mbar"');

/** What was said, in SI; absent where it was not. StaunchErrors (64) for what cannot be read or cannot be meant. */
export function toldFrom({ bore, groundwater, traps, airInChamber, hold, permittedDrop, testPressure }: AirWords): Told {
  return {
    ...(bore === undefined ? {} : { bore_mm: parseDn(bore) }),
    ...(groundwater === undefined ? {} : { groundwater_m: heightFrom(groundwater) }),
    ...(traps === true ? { traps } : {}),
    ...(airInChamber === undefined ? {} : { chamberAir: chamberRule(airInChamber) }),
    ...(hold === undefined ? {} : { hold_s: sensible("--hold", hold, parseDuration(hold)) }),
    ...(permittedDrop === undefined ? {} : { permittedDrop_Pa: sensible("--permitted-drop", permittedDrop, parsePressure(permittedDrop)) }),
    ...(testPressure === undefined ? {} : { test_Pa: sensible("--test-pressure", testPressure, parsePressure(testPressure)) }),
  };
}

/** No test takes longer than a day (86 400 s) or more than a bar (100 000 Pa): beyond it lies a slip of the keyboard. */
const MOST = 100_000;

function sensible(option: string, text: string, value: number): number {
  if (value > 0 && value < MOST) return value;
  throw usageError(
    "figure-absurd",
    `${option} ${JSON.stringify(text.slice(0, 40))} is no figure a test can have.`,
    "Write it without a sign and with its unit, as the example in --help.",
  );
}

/** More than nothing is a length; "0" says that the groundwater stays below the crown. */
const heightFrom = (text: string): number => (/^\s*0+(\.0*)?\s*(m|ft)?\s*$/.test(text) ? 0 : parseLength(text));

function chamberRule(text: string): "allowed" | "forbidden" {
  const word = text.trim().toLowerCase();
  if (word === "allowed" || word === "forbidden") return word;
  throw usageError(
    "chamber-rule-unknown",
    `--air-in-chamber ${JSON.stringify(text.slice(0, 40))} does not say what national rules make of air in chambers.`,
    "Find out, then say allowed or forbidden.",
  );
}
