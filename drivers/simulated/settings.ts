import { type StaunchError, usageError } from "../../src/core/errors.ts";

export const CREWS = ["obedient", "hasty", "absent"] as const;
export const FLOWS = ["laminar", "orifice"] as const;
export const HOSES = ["open", "blocked"] as const;
export const SPEAKERS = ["line", "scpi"] as const;
export const FAULTS = ["silence", "topup", "slip", "spikes", "wallclock", "unit"] as const;

/** Something going wrong at `at_s` of pipe time. `size`: silence and wallclock s, topup and slip Pa, spikes how many, unit which. */
export interface Fault {
  kind: (typeof FAULTS)[number];
  at_s: number;
  size: number;
}

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

type Options = Readonly<Record<string, string>>;

const OPTIONS: Readonly<Record<string, string>> = {
  leak: "leak as a multiple of the limit (default 0)",
  flow: "laminar or orifice (default laminar)",
  cooling: "K/h, negative warms (default 0)",
  barometer: "hPa/h (default 0)",
  wind: "m/s (default 0)",
  noise: "Pa rms (default 0.3)",
  resolution: "Pa (default 1)",
  rate: "readings a second (default 5)",
  crew: "obedient, hasty or absent (default obedient)",
  hose: "open or blocked (default open)",
  protocol: "line or scpi (default line)",
  sensors: "air, ambient or both with a comma, protocol line only (default none)",
  seed: "whole number (default 1)",
  silence: "at:seconds",
  topup: "at:Pa",
  slip: "at:Pa",
  spikes: "at:count",
  wallclock: "at:seconds",
  unit: "at:0 mbar, at:1 kPa, at:2 mmH2O",
};

/** Least and greatest size of each fault; a wall clock may go back. */
const SIZES: Readonly<Record<Fault["kind"], readonly [number, number]>> = {
  silence: [0, 86_400],
  topup: [0, 100_000],
  slip: [0, 50_000],
  spikes: [1, 1000],
  wallclock: [-1e9, 1e9],
  unit: [0, 2],
};

const refuse = (name: string, text: string, must: string): StaunchError =>
  usageError("simulated-option", `${name}=${JSON.stringify(text)} does not fit a simulated gauge.`, `${name} must be ${must}.`);

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)$/;

function number(options: Options, name: string, otherwise: number, low: number, high: number): number {
  const text = options[name];
  if (text === undefined) return otherwise;
  const value = NUMBER.test(text) ? Number(text) : Number.NaN;
  if (!(value >= low && value <= high)) throw refuse(name, text, `a number from ${low} to ${high}`);
  return value;
}

function word<T extends string>(options: Options, name: string, words: readonly [T, ...T[]]): T {
  const text = options[name];
  if (text === undefined) return words[0];
  const found = words.find((one) => one === text);
  if (found === undefined) throw refuse(name, text, `one of ${words.join(", ")}`);
  return found;
}

function sensorsOf(options: Options, protocol: SimulatedSettings["protocol"]): SimulatedSettings["sensors"] {
  const text = options["sensors"];
  const names = text === undefined || text === "none" ? [] : text.split(",");
  if (names.some((name) => name !== "air" && name !== "ambient")) throw refuse("sensors", text ?? "", "air, ambient, air,ambient or none");
  if (names.length > 0 && protocol !== "line")
    throw refuse("sensors", text ?? "", "left out unless protocol=line, which has fields for them");
  return { air: names.includes("air"), ambient: names.includes("ambient") };
}

function faultsOf(options: Options): Fault[] {
  return FAULTS.flatMap((kind) =>
    (options[kind]?.split(",") ?? []).map((text): Fault => {
      const [at_s, size] = text.split(":").map((part) => (NUMBER.test(part) ? Number(part) : Number.NaN));
      const [low, high] = SIZES[kind];
      const whole = kind !== "spikes" && kind !== "unit";
      const fits = at_s !== undefined && size !== undefined && at_s >= 0 && at_s <= 1e6 && size >= low && size <= high;
      if (!fits || text.split(":").length !== 2 || !(whole || Number.isInteger(size)))
        throw refuse(kind, text, `${OPTIONS[kind]} with "at" in seconds of pipe time and the size from ${low} to ${high}`);
      return { kind, at_s, size };
    }),
  ).sort((one, other) => one.at_s - other.at_s);
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
  return {
    leak: number(options, "leak", 0, 0, 1000),
    flow: word(options, "flow", FLOWS),
    cooling_K_h: number(options, "cooling", 0, -30, 30),
    barometer_hPa_h: number(options, "barometer", 0, -60, 60),
    wind_m_s: number(options, "wind", 0, 0, 40),
    noise_Pa: number(options, "noise", 0.3, 0, 10_000),
    resolution_Pa: number(options, "resolution", 1, 0.001, 10_000),
    rate_Hz: number(options, "rate", 5, 0.1, 100),
    crew: word(options, "crew", CREWS),
    hose: word(options, "hose", HOSES),
    protocol,
    sensors: sensorsOf(options, protocol),
    seed,
    faults: faultsOf(options),
    about,
  };
}
