import { usageError } from "../errors.ts";
import { ADH } from "./adh.ts";
import { C828_C924 } from "./astmC828.ts";
import { C1244 } from "./astmC1244.ts";
import { F1417 } from "./astmF1417.ts";
import { DWA } from "./dwa.ts";
import { EN1610 } from "./en1610.ts";
import { IPC } from "./ipc.ts";
import type { Limits } from "./limits.ts";
import type { Method, OwnMethod, Pipe } from "./method.ts";
import { NCPI } from "./ncpi.ts";
import { ONORM } from "./onorm.ts";
import { ownLimits } from "./own.ts";
import { AUSTRALIA, NEW_ZEALAND } from "./pacific.ts";
import { toldOf } from "./told.ts";
import { UK } from "./uk.ts";
import { WATER } from "./water.ts";

/** Methods of one family of standards, as `methods list` shows them. */
export interface MethodGroup {
  title: string;
  methods: readonly Method[];
}

const water = (start: string): readonly Method[] => WATER.filter(({ id }) => id.startsWith(start));

/** THE list of methods built in. */
export const METHOD_GROUPS: readonly MethodGroup[] = [
  { title: "EN 1610 (Europe)", methods: [...EN1610, ...water("en1610")] },
  { title: "DWA (Germany)", methods: DWA },
  { title: "ÖNORM (Austria)", methods: ONORM },
  { title: "United Kingdom", methods: [...UK, ...ADH, ...water("adh")] },
  { title: "United States: sewers", methods: [...F1417, ...C828_C924, ...NCPI] },
  { title: "United States: manholes and plumbing", methods: [...C1244, ...IPC] },
  { title: "Australia", methods: AUSTRALIA },
  { title: "New Zealand", methods: NEW_ZEALAND },
];

export const METHODS: readonly Method[] = METHOD_GROUPS.flatMap(({ methods }) => methods);

export const findMethod = (id: string): Method | undefined => METHODS.find((method) => method.id === id.toLowerCase());

/** A method worked out for one section. StaunchErrors: `method-unknown`, what the method misses, and what it has no rule for. */
export function limitsFor(method: string | OwnMethod, pipe: Pipe): Limits {
  if (typeof method !== "string") return ownLimits(method, pipe);
  const found = findMethod(method);
  if (found === undefined)
    throw usageError(
      "method-unknown",
      `There is no method ${JSON.stringify(method.slice(0, 60))}.`,
      `Known: ${METHODS.map(({ id }) => id).join(", ")}; or give a method file ending in .json.`,
    );
  const limits = found.limits(pipe);
  if (limits.medium === "water") refuseAirWords(found.id, pipe);
  return limits;
}

/** A water test has words of its own; those of air tests must not be passed over in silence. */
function refuseAirWords(id: string, pipe: Pipe): void {
  const { also: _, bore_mm: __, ...rest } = toldOf(pipe) ?? {};
  const [first] = Object.keys(rest);
  if (first === undefined) return;
  throw usageError(
    "word-not-for-water",
    `${id} is a test with water and does not go by ${WORDS[first] ?? first}.`,
    "Leave it out, or take an air test.",
  );
}

const WORDS: Readonly<Record<string, string>> = {
  groundwater_m: "--groundwater",
  traps: "--traps",
  chamberAir: "--air-in-chamber",
  hold_s: "--hold",
  permittedDrop_Pa: "--permitted-drop",
  test_Pa: "--test-pressure",
};
