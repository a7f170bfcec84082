import { parse, stringify, TomlError } from "smol-toml";
import { z } from "zod";
import type { LinkDefaults } from "../core/driver.ts";
import { dataError, type StaunchError } from "../core/errors.ts";
import { plainText } from "../core/text.ts";

/**
 * How a gauge speaks, as a small TOML file. What its options mean and may be is its driver's to say.
 *
 *     name = "trailer gauge"
 *     protocol = "line"
 *     port = "/dev/ttyUSB0"       where it is plugged in; may be left out
 *     [serial]
 *     baud = 9600                 also dataBits, parity, stopBits, flow
 *     [options]
 *     field = 2                   text, whole numbers or true/false
 *     decimal = "comma"
 *     [options.status]            the same as status = "OL:overload,E:sensor-fault"
 *     OL = "overload"
 *     E = "sensor-fault"
 */
export interface GaugeDescription {
  name: string;
  protocol: string;
  /** The serial port, where the file names one. */
  port?: string;
  /** As in a gauge's address; the driver refuses what does not fit. */
  options: Record<string, string>;
  line: LinkDefaults;
}

const LONGEST = 65_536;
/** Options of options, and no deeper. */
const DEEPEST = 3;

const shown = z
  .string("must be text")
  .min(1, "is empty")
  .max(80, "is longer than 80 characters")
  .regex(/^[^\p{Cc}\p{Cf}\u2028\u2029]+$/u, "holds control characters");
const word = z.string("must be text").regex(/^[A-Za-z][A-Za-z0-9-]{0,31}$/, "must be a word of letters, digits and dashes, 32 at most");
const wholeOf = (low: number, high: number) =>
  z
    .int(`must be a whole number from ${low} to ${high}`)
    .min(low, `must be a whole number from ${low} to ${high}`)
    .max(high, `must be a whole number from ${low} to ${high}`);
/** What a URL could carry: printable, on one line. */
const optionText = z
  .string("must be text")
  .max(200, "is longer than 200 characters")
  .regex(/^[^\p{Cc}]*$/u, "holds control characters");
const single = z.union([optionText, z.int().transform(String), z.boolean().transform(String)], {
  error: "must be text, a whole number or true or false",
});
/** Letters and what they mean, as one option. */
const letters = z
  .record(z.string().regex(/^[^\s,:]{1,16}$/, "must be 1 to 16 signs without blank, comma or colon"), word)
  .transform((table) =>
    Object.entries(table)
      .map(([letter, meaning]) => `${letter}:${meaning}`)
      .join(","),
  );
const portName = optionText.min(1, "is empty");
const optionName = z.string().regex(/^[A-Za-z][A-Za-z0-9]{0,31}$/, "must be a word of letters and digits, 32 at most");

const SERIAL = z.strictObject(
  {
    baud: wholeOf(50, 4_000_000).optional(),
    dataBits: z.literal([5, 6, 7, 8]).optional(),
    parity: z.enum(["none", "even", "odd", "mark", "space"]).optional(),
    stopBits: z.literal([1, 1.5, 2]).optional(),
    flow: z.enum(["none", "rtscts", "xonxoff"]).optional(),
  },
  "must be a table, [serial]",
);

const OPTIONS = z.object({ status: z.union([optionText, letters]).optional() }, "must be a table, [options]").catchall(single);

const FILE = z.strictObject({
  name: shown,
  protocol: word,
  port: portName.optional(),
  serial: SERIAL.optional(),
  options: OPTIONS.optional(),
});

const HINT = "Such a file has name, protocol, port, [serial] with baud and the like, and [options] of the protocol.";

function sentence(issue: z.core.$ZodIssue, at: readonly PropertyKey[] = []): string {
  const path = [...at, ...issue.path];
  const key = path.map((part) => plainText(String(part), 40)).join(".") || "the file";
  if (issue.code === "unrecognized_keys")
    return `${issue.keys.map((name) => [...path, plainText(name, 40)].join(".")).join(", ")} is no key of a gauge file`;
  const inner = issue.code === "invalid_union" ? issue.errors.flat().find((one) => one.path.length > 0) : undefined;
  if (inner !== undefined) return sentence(inner, path);
  if (issue.code === "invalid_value" && issue.input !== undefined) return `${key} must be one of ${issue.values.join(", ")}`;
  if (issue.input === undefined && issue.path.length > 0) return `${key} is missing`;
  return `${key} ${issue.message}`;
}

function readToml(text: string, refuse: (what: string, cause?: unknown) => StaunchError): unknown {
  if (text.length > LONGEST) throw refuse(`is longer than ${LONGEST / 1024} kB`);
  try {
    return parse(text, { maxDepth: DEEPEST, unsafeKeyBehaviour: "throw" });
  } catch (cause) {
    if (!(cause instanceof TomlError)) throw cause;
    const [what = ""] = cause.message.split("\n");
    throw refuse(
      `is not TOML: line ${cause.line}, column ${cause.column}: ${plainText(what.replace("Invalid TOML document: ", ""), 100)}`,
      cause,
    );
  }
}

/**
 * Reads a gauge's description; `fileName` is only for the complaint. Throws a StaunchError `gauge-toml` (65) naming each key that does
 * not fit. Text longer than 64 kB and tables nested deeper than needed are refused unread.
 */
export function readGaugeToml(text: string, fileName: string): GaugeDescription {
  const name = plainText(fileName, 100);
  const refuse = (what: string, cause?: unknown) => dataError("gauge-toml", `${JSON.stringify(name)} ${what}.`, HINT, cause);
  const result = FILE.safeParse(readToml(text, refuse), { reportInput: true });
  if (!result.success) throw refuse(`cannot be used: ${result.error.issues.map((issue) => sentence(issue)).join("; ")}`, result.error);
  const { serial = {}, options = {}, port, ...words } = result.data;
  for (const key of Object.keys(options))
    if (!optionName.safeParse(key).success) throw refuse(`cannot be used: options.${plainText(key, 40)} is no name of an option`);
  return { ...words, ...(port === undefined ? {} : { port }), options: present(options), line: present(serial) };
}

/** Without the keys whose value is not given. */
function present<T extends object>(table: T): { [K in keyof T]: Exclude<T[K], undefined> } {
  return Object.fromEntries(Object.entries(table).filter(([, value]) => value !== undefined)) as {
    [K in keyof T]: Exclude<T[K], undefined>;
  };
}

/** The description as a file that `readGaugeToml` reads back the same. */
export function gaugeTomlText({ name, protocol, port, options, line }: GaugeDescription): string {
  const told = Object.entries(options).map(([key, text]): [string, string | number] => {
    const value = Number(text);
    return [key, key !== "status" && Number.isSafeInteger(value) && String(value) === text ? value : text];
  });
  return `${stringify({ name, protocol, ...(port === undefined ? {} : { port }), serial: line, options: Object.fromEntries(told) }).trim()}\n`;
}
