import { decimal, type Options, refuse } from "./options.ts";

const FAULTS = ["silence", "topup", "slip", "spikes", "wallclock", "unit"] as const;

/** Something going wrong at `at_s` of pipe time. `size`: silence and wallclock s, topup and slip Pa, spikes how many, unit which. */
export interface Fault {
  kind: (typeof FAULTS)[number];
  at_s: number;
  size: number;
}

/** How each is written, for hints. */
export const FAULT_SIZES: Readonly<Record<Fault["kind"], string>> = {
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

/** All faults of an address in order of time; several of a kind stand with commas between. */
export function faultsOf(options: Options): Fault[] {
  return FAULTS.flatMap((kind) =>
    (options[kind]?.split(",") ?? []).map((text): Fault => {
      const [at_s, size] = text.split(":").map(decimal);
      const [low, high] = SIZES[kind];
      const whole = kind !== "spikes" && kind !== "unit";
      const fits = at_s !== undefined && size !== undefined && at_s >= 0 && at_s <= 1e6 && size >= low && size <= high;
      if (!fits || text.split(":").length !== 2 || !(whole || Number.isInteger(size)))
        throw refuse(kind, text, `${FAULT_SIZES[kind]} with "at" in seconds of pipe time and the size from ${low} to ${high}`);
      return { kind, at_s, size };
    }),
  ).sort((one, other) => one.at_s - other.at_s);
}
