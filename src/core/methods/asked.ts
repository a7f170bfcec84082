import { type StaunchError, usageError } from "../errors.ts";
import type { Pipe } from "./method.ts";
import { inMinutes } from "./words.ts";

/** A figure that only the specification has; the option that gives it and why the method does not. */
export function missing(id: string, what: string, option: string, why: string): StaunchError {
  return usageError(
    `${option.slice(2).split(" ")[0]}-missing`,
    `${id} needs ${what}: ${why}.`,
    `Add ${option} as the specification states it.`,
  );
}

/** A hold that must be told, s; `least_s` is what the method says at least. */
export function askedHold_s(id: string, pipe: Pipe, why: string, least_s = 0): number {
  const { hold_s } = pipe;
  if (hold_s === undefined) throw missing(id, "the hold time", '--hold "5 min"', why);
  if (hold_s < least_s)
    throw usageError(
      "hold-too-short",
      `A hold of ${inMinutes(hold_s)} is shorter than the ${inMinutes(least_s)} ${id} asks for at least.`,
      "Give the longer time.",
    );
  return hold_s;
}

/** The DN, where the time hangs on it. */
export function askedDn_mm(id: string, pipe: Pipe): number {
  if (pipe.dn_mm !== null) return pipe.dn_mm;
  throw usageError(
    "dn-missing",
    `${id} takes its hold from the pipe's size, and no DN was given.`,
    "Add the DN the specification names, such as --dn 300.",
  );
}

/** The laid length (a chamber's depth), where the time hangs on it. */
export function askedLength_m(id: string, pipe: Pipe, what = "laid length"): number {
  if (pipe.laid_length_m !== null) return pipe.laid_length_m;
  throw usageError(
    "length-missing",
    `${id} takes its hold from the ${what}, and none was given.`,
    what === "laid length" ? "Add it: --laid-length 45 or --laid-length 150ft." : "Add the depth as --laid-length 3 or --laid-length 10ft.",
  );
}
