import { existsSync } from "node:fs";
import { EXIT, type ExitCode, usageError } from "../core/errors.ts";
import { EMPTY_SHEET } from "../core/gauges/sheet.ts";
import { plainJson, plainText } from "../core/text.ts";
import { serialPorts } from "../links/serialPorts.ts";
import { kitChecksOf, zerosOf } from "../storage/gaugeLogs.ts";
import { listGauges, sheetsOf } from "../storage/gauges.ts";
import { openArchive } from "../storage/open.ts";
import { dayOf } from "../terminal/wall.ts";
import type { Command, Context } from "./command.ts";
import { askedGauge, gaugeIn } from "./gaugeOnFile.ts";
import { gaugeLines, gaugePage } from "./gaugePages.ts";
import { fitnessReport } from "./gaugesCheck.ts";
import { fileGauge, reviseGauge } from "./gaugesEdit.ts";
import { type Finders, findGauges, findingJson, findingLines } from "./gaugesFind.ts";
import { type GaugesOptions, parseGauges } from "./gaugesWords.ts";
import { limitsFrom, pipeFrom } from "./section.ts";

/** Where gauges are looked for: on serial ports, and over the air by a process of its own. */
const findersOf = ({ io }: Context): Finders => ({
  ports: () => serialPorts(),
  scan: async () => (await import("./hearGauges.ts")).hearGauges({ childPath: io.bluetoothChild, clock: io.clock }),
});

/** Zeros and checks shown of one gauge: those of some weeks. */
const SHOWN_ZEROS = 20;
const SHOWN_CHECKS = 10;

type Asked<A extends GaugesOptions["ask"]> = Extract<GaugesOptions, { ask: A }>;

function list({ json }: Asked<"list">, { io, archive: path }: Context): ExitCode {
  const archive = existsSync(path) ? openArchive(path, { mode: "read" }) : null;
  try {
    const gauges = archive === null ? [] : listGauges(archive);
    if (json) io.out(plainJson({ schema: "staunch/gauges/1", gauges: gauges.map(({ name, sheet }) => ({ name, ...sheet })) }));
    else if (gauges.length === 0) io.err(`No gauge is on file in ${plainText(path, 300)}: staunch gauges add NAME URL`);
    else io.out(gaugeLines(gauges, dayOf(io.clock.wall_ms())).join("\n"));
    return EXIT.pass;
  } finally {
    archive?.close();
  }
}

function show({ name, json }: Asked<"show">, { io, archive: path }: Context): ExitCode {
  const archive = openArchive(path, { mode: "read" });
  try {
    const gauge = gaugeIn(archive, name);
    const zeros = zerosOf(archive, gauge.number, SHOWN_ZEROS);
    const checks = kitChecksOf(archive, gauge.number, SHOWN_CHECKS);
    const sheets = sheetsOf(archive, gauge.number);
    if (json) io.out(plainJson({ schema: "staunch/gauge/1", name: gauge.name, ...gauge.sheet, sheets, zeros, kit_checks: checks }));
    else io.out(gaugePage({ gauge, sheets, zeros, checks, today: dayOf(io.clock.wall_ms()) }).join("\n"));
    return EXIT.pass;
  } finally {
    archive.close();
  }
}

async function check({ name, method, section, json }: Asked<"check">, context: Context): Promise<ExitCode> {
  const { io } = context;
  const { url, known, described } = askedGauge(name, context, io.err);
  // Of an address or a description all that is known is how it speaks.
  const gauge = known ?? { name, sheet: { ...EMPTY_SHEET, url, reference: described?.reference ?? null } };
  const limits = await limitsFrom(method, pipeFrom(section), io);
  const { text, exit } = fitnessReport(gauge, limits, dayOf(io.clock.wall_ms()), json);
  io.out(text);
  return exit;
}

async function find({ json }: Asked<"find">, { io }: Context, finders: Finders): Promise<ExitCode> {
  const found = await findGauges(finders);
  if (found.complaint !== null) {
    const why = found.complaint instanceof Error ? found.complaint.message : String(found.complaint);
    io.err(`staunch: nothing could be heard over the air: ${plainText(why, 400)}`);
  }
  const lines = findingLines(found);
  if (json) io.out(findingJson(found));
  else if (lines.length > 0) io.out(lines.join("\n"));
  else
    io.err(
      "No serial port was found. Plug the gauge or its USB adapter in; on Linux you must be in the group that owns the port (often dialout).",
    );
  return EXIT.pass;
}

/** A whole number; what it may be, who uses it says. */
function wholeFrom(option: string, word: string): number {
  if (/^\d{1,7}$/.test(word)) return Number(word);
  throw usageError(
    "number-unreadable",
    `${option} ${JSON.stringify(word.slice(0, 40))} is no whole number.`,
    "Write digits only, such as 9600.",
  );
}

async function learn({ port, baud, seconds, json }: Asked<"learn">, { io, gaugesFolder }: Context): Promise<ExitCode> {
  const spoken = { baud: baud === undefined ? null : wholeFrom("--baud", baud), seconds: wholeFrom("--seconds", seconds) };
  const { learnGauge } = await import("./gaugesLearn.ts");
  return learnGauge({ port, ...spoken, json, io, ...(gaugesFolder === undefined ? {} : { folder: gaugesFolder }) });
}

/** The command with the places it looks at handed in. */
export function runGauges(options: GaugesOptions, context: Context, finders = findersOf(context)): ExitCode | Promise<ExitCode> {
  switch (options.ask) {
    case "list":
      return list(options, context);
    case "show":
      return show(options, context);
    case "check":
      return check(options, context);
    case "find":
      return find(options, context, finders);
    case "add":
      return fileGauge(options, context);
    case "calibrate":
      return reviseGauge(options, context);
    case "learn":
      return learn(options, context);
    case "kit-check":
      return import("./kitCheck.ts").then(({ kitCheck }) => kitCheck(options, context));
  }
}

export const gauges: Command<GaugesOptions> = {
  parse: parseGauges,
  run: async (options, context) => runGauges(options, context),
};
