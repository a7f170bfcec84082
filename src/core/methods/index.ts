import { usageError } from "../errors.ts";
import { EN1610 } from "./en1610.ts";
import type { Limits } from "./limits.ts";
import type { Method, OwnMethod, Pipe } from "./method.ts";
import { ownLimits } from "./own.ts";
import { UK } from "./uk.ts";
import { WATER } from "./water.ts";

/** THE list of methods built in. */
export const METHODS: readonly Method[] = [...EN1610, ...UK, ...WATER];

export const findMethod = (id: string): Method | undefined => METHODS.find((method) => method.id === id.toLowerCase());

/** A method worked out for one section. StaunchErrors: `method-unknown`, `dn-missing`. */
export function limitsFor(method: string | OwnMethod, pipe: Pipe): Limits {
  if (typeof method !== "string") return ownLimits(method, pipe);
  const found = findMethod(method);
  if (found === undefined)
    throw usageError(
      "method-unknown",
      `There is no method ${JSON.stringify(method.slice(0, 60))}.`,
      `Known: ${METHODS.map(({ id }) => id).join(", ")}; or give a method file ending in .json.`,
    );
  return found.limits(pipe);
}
