import { z } from "zod";
import { dataError, isStaunchError, type StaunchError } from "../core/errors.ts";
import { findMethod } from "../core/methods/index.ts";
import type { OwnMethod } from "../core/methods/method.ts";
import { parseDuration, parsePressure } from "../core/units.ts";

/** Drains are not tested with air above this; the energy stored in a pipe full of it kills. Water stands higher. */
const MOST_Pa = { air: 100_000, water: 1_000_000 };
const LONGEST_s = 24 * 3600;

/** Turns our own parsers' complaints into a field's, so that one list holds them all. */
function parsed(parse: (text: string) => number) {
  return z.string().transform((text, context) => {
    try {
      return parse(text);
    } catch (error) {
      if (!isStaunchError(error)) throw error;
      context.issues.push({ code: "custom", message: `${error.message} ${error.hint}`, input: text });
      return z.NEVER;
    }
  });
}

const pressure = parsed(parsePressure);
const duration = parsed(parseDuration);
/** Shown on screens and papers, so nothing but visible characters. */
const shown = z
  .string()
  .min(1, "is empty")
  .max(200, "is longer than 200 characters")
  .regex(/^[^\p{Cc}\p{Cf}\u2028\u2029]+$/u, "holds control characters");

const FILE = z.strictObject({
  id: z.string().regex(/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/, "may hold letters, digits, points, dashes and underscores only, 64 at most"),
  title: shown,
  source: shown,
  medium: z.enum(["air", "water"]),
  stop: z.enum(["fixed-time", "fixed-drop"]),
  charge: pressure,
  settle: duration,
  test: pressure,
  hold: duration,
  permittedDrop: pressure.optional(),
  floor: pressure.optional(),
  boundary: z.enum(["less-or-equal", "less"]),
  startTolerance: pressure.optional(),
  /** Never to be exceeded; left out, 1.15 × charge. */
  top: pressure.optional(),
  /** Where the code lets a hold end early as a pass: its words. */
  earlyAcceptance: shown.optional(),
});

type File = z.infer<typeof FILE>;

/** What must hold between the fields; each line is [field, wrong when, what is wrong]. */
function contradictions(file: File): [keyof File, boolean, string][] {
  const sign = file.test < 0 ? -1 : 1;
  const test = Math.abs(file.test);
  const most = MOST_Pa[file.medium];
  const { floor, permittedDrop, startTolerance, top } = file;
  return [
    ["id", findMethod(file.id) !== undefined, "is the name of a built-in method; give this one its own"],
    ["test", test === 0, "is zero"],
    ["test", test > most, `is more than ${most / 1000} kPa, beyond any test of drains with ${file.medium}`],
    ["charge", Math.abs(file.charge) > most, `is more than ${most / 1000} kPa, beyond any test of drains with ${file.medium}`],
    ["charge", file.charge * sign < test, "is less than the test pressure, or on the other side of atmosphere"],
    ["charge", file.charge * sign > 2 * test, "is more than twice the test pressure"],
    ["settle", file.settle < 0, "is negative"],
    ["settle", file.settle > LONGEST_s, "is longer than a day"],
    ["hold", file.hold <= 0, "must be more than nothing"],
    ["hold", file.hold > LONGEST_s, "is longer than a day"],
    ["permittedDrop", permittedDrop === undefined && floor === undefined, "is missing, and so is floor: one of them is needed"],
    ["permittedDrop", permittedDrop !== undefined && floor !== undefined, "and floor exclude each other"],
    ["permittedDrop", permittedDrop !== undefined && permittedDrop <= 0, "is a size, written without a sign and more than nothing"],
    ["permittedDrop", permittedDrop !== undefined && permittedDrop > test, "is more than the test pressure"],
    ["floor", floor !== undefined && floor * sign < 0, "is on the other side of atmosphere than the test pressure"],
    ["floor", floor !== undefined && floor * sign >= test, "is not below the test pressure"],
    ["startTolerance", startTolerance !== undefined && startTolerance <= 0, "must be more than nothing"],
    ["startTolerance", startTolerance !== undefined && startTolerance > test / 4, "is more than a quarter of the test pressure"],
    [
      "top",
      top !== undefined && top * sign < Math.abs(file.charge),
      "is less than the charge pressure, or on the other side of atmosphere",
    ],
    ["top", top !== undefined && Math.abs(top) > most, `is more than ${most / 1000} kPa, beyond any test of drains with ${file.medium}`],
    ["stop", file.stop === "fixed-drop" && floor !== undefined, "fixed-drop times a fall by permittedDrop; a floor goes with fixed-time"],
    ["earlyAcceptance", file.earlyAcceptance !== undefined && file.medium === "water", "is a rule of air tests only"],
  ];
}

const refuse = (problems: readonly string[], cause?: unknown): StaunchError =>
  dataError(
    "method-field",
    `The method file cannot be used: ${problems.join("; ")}.`,
    'Quantities are text with a unit, such as "charge": "110 mmH2O" and "hold": "5 min".',
    cause,
  );

function sentence(issue: z.core.$ZodIssue): string {
  const field = issue.path.join(".") || "the file";
  if (issue.code === "unrecognized_keys")
    return `${issue.keys.map((key) => JSON.stringify(key.slice(0, 40))).join(", ")} is no field of a method`;
  if (issue.code === "invalid_type")
    return `${field}: ${issue.input === undefined ? "is missing" : `must be ${issue.expected === "string" ? "text" : "an object"}`}`;
  if (issue.code === "invalid_value")
    return `${field}: ${issue.input === undefined ? "is missing; it " : ""}must be one of ${issue.values.join(", ")}`;
  return `${field}: ${issue.message.replace(/\.$/, "")}`;
}

function readJson(text: string): unknown {
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (cause) {
    throw dataError("method-json", "The method file is not JSON.", "See: staunch methods --help", cause);
  }
}

/** Reads a method file. A StaunchError (65; `method-json`, `method-field`) names every field that is wrong. */
export function readMethodJson(text: string): OwnMethod {
  const result = FILE.safeParse(readJson(text), { reportInput: true });
  if (!result.success) throw refuse(result.error.issues.map(sentence), result.error);
  const file = result.data;
  const problems = contradictions(file)
    .filter(([, wrong]) => wrong)
    .map(([field, , what]) => `${field}: ${what}`);
  if (problems.length > 0) throw refuse(problems);
  const { charge, settle, test, hold, permittedDrop, floor, startTolerance, top, earlyAcceptance, ...words } = file;
  const sizeLost_Pa = floor === undefined ? (permittedDrop ?? 0) : Math.abs(test) - Math.abs(floor);
  return {
    ...words,
    charge_Pa: charge,
    settle_s: settle,
    test_Pa: test,
    hold_s: hold,
    permittedDrop_Pa: sizeLost_Pa,
    floor_Pa: floor ?? null,
    startTolerance_Pa: startTolerance ?? null,
    ...(top === undefined ? {} : { top_Pa: top }),
    ...(earlyAcceptance === undefined ? {} : { earlyAcceptance }),
  };
}
