import { usageError } from "../../src/core/errors.ts";
import { FAULT_SIZES, type Fault, faultsOf } from "./faults.ts";
import { number, type Options, refuse, word } from "./options.ts";

export const CREWS = ["obedient", "hasty", "absent"] as const;
export const FLOWS = ["laminar", "orifice"] as const;
export const HOSES = ["open", "blocked"] as const;
export const SPEAKERS = ["line", "scpi", "xdr", "modbus", "ess"] as const;
/** What the pipe must know of the test: the leak is a multiple of its limit, the crew on its own charges to its pressure. */
export interface TestFigures {
  test_Pa: number;
  charge_Pa: number;
  permittedDrop_Pa: number;
  hold_s: number;
  /** Bore, mm. */
  dn_mm: number;
  length_m: number;
}

export interface SimulatedSettings {
  /** Multiple of the leak that loses exactly the permitted drop in the hold. */
  leak: number;
  flow: (typeof FLOWS)[number];
  /** Ground and wall grow colder by so many kelvin an hour; negative warms. */
  cooling_K_h: number;
  barometer_hPa_h: number;
  wind_m_s: number;
  /** Standard deviation of the gauge's own noise. */
  noise_Pa: number;
  resolution_Pa: number;
  rate_Hz: number;
  crew: (typeof CREWS)[number];
  hose: (typeof HOSES)[number];
  protocol: (typeof SPEAKERS)[number];
  sensors: { air: boolean; ambient: boolean };
  seed: number;
  faults: readonly Fault[];
  about: TestFigures;
}

const OPTIONS: Readonly<Record<string, string>> = {
  leak: "leak as a multiple of the limit (default 0)",
  flow: "laminar or orifice (default laminar)",
  cooling: "K/h, negative warms (default 0)",
  barometer: "hPa/h (default 0)",
  wind: "m/s (default 0)",
  noise: "Pa rms (default 0.3)",
  resolution: "Pa (default 1)",
  rate: "readings a second, 0.1 to 100, with protocol=scpi or modbus from 1 (default 5)",
  crew: "obedient, hasty or absent (default obedient)",
  hose: "open or blocked (default open)",
  protocol: "line, scpi, xdr, modbus or ess (default line)",
  sensors: "air, ambient or both with a comma, protocol line or xdr only (default none)",
  seed: "whole number (default 1)",
  ...FAULT_SIZES,
};

function sensorsOf(options: Options, protocol: SimulatedSettings["protocol"]): SimulatedSettings["sensors"] {
  const text = options["sensors"];
  const names = text === undefined || text === "none" ? [] : text.split(",");
  if (names.some((name) => name !== "air" && name !== "ambient")) throw refuse("sensors", text ?? "", "air, ambient, air,ambient or none");
  if (names.length > 0 && protocol !== "line" && protocol !== "xdr")
    throw refuse("sensors", text ?? "", "left out unless protocol=line or xdr, which have fields for them");
  return { air: names.includes("air"), ambient: names.includes("ambient") };
}

function checkFigures(about: TestFigures): void {
  const { test_Pa, charge_Pa, permittedDrop_Pa, hold_s, dn_mm, length_m } = about;
  const sound =
    [permittedDrop_Pa, hold_s, dn_mm, length_m].every((figure) => figure > 0 && Number.isFinite(figure)) &&
    test_Pa * charge_Pa > 0 &&
    Math.min(test_Pa, charge_Pa) > -95_000 &&
    permittedDrop_Pa < Math.abs(test_Pa);
  if (!sound)
    throw usageError(
      "simulated-figures",
      `A pipe of ${dn_mm} mm and ${length_m} m cannot be simulated for ${permittedDrop_Pa} Pa lost of ${test_Pa} Pa in ${hold_s} s.`,
      "The simulated pipe needs a bore, a length, a hold and a permitted drop smaller than the test pressure.",
    );
}

/**
 * Reads the options of a `sim://?…` address. `about` comes from the method worked out for the section.
 * Throws a StaunchError (usage, exit 64) naming the option and what it may be.
 */
export function simulatedSettings(options: Options, about: TestFigures): SimulatedSettings {
  for (const name of Object.keys(options))
    if (!Object.hasOwn(OPTIONS, name))
      throw usageError(
        "simulated-option",
        `A simulated gauge has no option ${JSON.stringify(name)}.`,
        `Its options are ${Object.keys(OPTIONS).join(", ")}.`,
      );
  checkFigures(about);
  const protocol = word(options, "protocol", SPEAKERS);
  const seed = number(options, "seed", 1, 0, 4_294_967_295);
  if (!Number.isInteger(seed)) throw refuse("seed", options["seed"] ?? "", "a whole number");
  // Asked for a reading it answers at its next sample; drivers do not wait longer than two seconds.
  const rate_Hz = number(options, "rate", 5, protocol === "scpi" || protocol === "modbus" ? 1 : 0.1, 100);
  return {
    leak: number(options, "leak", 0, 0, 1000),
    flow: word(options, "flow", FLOWS),
    cooling_K_h: number(options, "cooling", 0, -30, 30),
    barometer_hPa_h: number(options, "barometer", 0, -60, 60),
    wind_m_s: number(options, "wind", 0, 0, 40),
    noise_Pa: number(options, "noise", 0.3, 0, 10_000),
    resolution_Pa: number(options, "resolution", 1, 0.001, 10_000),
    rate_Hz,
    crew: word(options, "crew", CREWS),
    hose: word(options, "hose", HOSES),
    protocol,
    sensors: sensorsOf(options, protocol),
    seed,
    faults: faultsOf(options),
    about,
  };
}
