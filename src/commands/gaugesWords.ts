import type { Command as CommandLine } from "commander";
import { type SheetWords, sheetOptions } from "./gaugeWords.ts";
import type { Io } from "./io.ts";
import type { KitWords } from "./kitCheck.ts";
import { type SectionWords, sectionOptions } from "./section.ts";
import { commandLine, readWords } from "./words.ts";

/** Words of `calibrate` beside those of a sheet. */
export type ReviseWords = SheetWords & { url?: string; forgetIdentity?: boolean };

/** Words as they were given; they are read when the command runs. */
export type GaugesOptions =
  | { ask: "list"; json: boolean }
  | { ask: "find"; json: boolean }
  | { ask: "show"; name: string; json: boolean }
  | { ask: "add"; name: string; url: string; words: SheetWords }
  | { ask: "calibrate"; name: string; words: ReviseWords }
  | { ask: "check"; name: string; method: string; section: SectionWords; json: boolean }
  | { ask: "learn"; port: string; baud?: string; seconds: string; json: boolean }
  | ({ ask: "kit-check"; name: string } & KitWords);

const EXAMPLES = [
  'staunch gauges add blue "serial:///dev/ttyUSB0?protocol=scpi&baud=9600" --range "0..200 mbar" --resolution "1 Pa" \\',
  '    --accuracy "0.1 % fs" --vented --calibrated 2026-03-01 --due 2027-03-01 --certificate C-123 --serial 4711',
  "staunch gauges check blue --method en1610-lc --dn 300",
  "staunch gauges kit-check blue",
];

type Json = { json?: boolean };
type Choose = (options: GaugesOptions) => void;

export function parseGauges(words: readonly string[], io: Io): GaugesOptions | null {
  const line = commandLine(
    "gauges",
    "Gauges on file: find them, their calibration, their fitness for a method, the daily kit check.",
    EXAMPLES,
  );
  let chosen: GaugesOptions | null = null;
  const choose: Choose = (options) => {
    chosen = options;
  };
  looking(line, choose);
  learning(line, choose);
  filing(line, choose);
  checking(line, choose);
  return readWords(line, words, io) ? chosen : null;
}

function looking(line: CommandLine, choose: Choose): void {
  line
    .command("list", { isDefault: true })
    .description("the gauges on file, one line each")
    .option("--json", "one JSON object")
    .action(({ json }: Json) => choose({ ask: "list", json: json === true }));
  line
    .command("show <name>")
    .description("one gauge: its sheet, calibrations, zeros over time, last kit checks")
    .option("--json", "one JSON object")
    .action((name: string, { json }: Json) => choose({ ask: "show", name, json: json === true }));
  line
    .command("find")
    .description("serial ports of this machine, with names that stay, and gauges heard over Bluetooth")
    .option("--json", "one JSON object")
    .action(({ json }: Json) => choose({ ask: "find", json: json === true }));
}

function learning(line: CommandLine, choose: Choose): void {
  line
    .command("learn <port>")
    .description("listen to a gauge nobody described, and propose how to read it; sends nothing")
    .option("--baud <n>", "its speed; else the usual ones are tried")
    .option("--seconds <n>", "listen for so long once there is text", "10")
    .option("--json", "one JSON object")
    .action((port: string, { json, ...words }: Json & { baud?: string; seconds: string }) =>
      choose({ ask: "learn", port, json: json === true, ...words }),
    );
}

function filing(line: CommandLine, choose: Choose): void {
  sheetOptions(line.command("add <name> <url>").description("put a gauge on file")).action((name: string, url: string, words: SheetWords) =>
    choose({ ask: "add", name, url, words }),
  );
  sheetOptions(line.command("calibrate <name>").description("a new calibration or correction; what was on file before is kept"))
    .option("--url <url>", "its new address")
    .option("--forget-identity", "take what it calls itself anew at the next test")
    .action((name: string, words: ReviseWords) => choose({ ask: "calibrate", name, words }));
}

function checking(line: CommandLine, choose: Choose): void {
  sectionOptions(line.command("check <name>").description("fit for a method? exit 0 fit, 1 unfit"))
    .requiredOption("--method <id or file>", "a method's id, or a method file")
    .option("--json", "one JSON object")
    .action((name: string, { json, method, ...section }: SectionWords & Json & { method: string }) =>
      choose({ ask: "check", name, method, section, json: json === true }),
    );
  line
    .command("kit-check <name>")
    .description("hose and gauge capped and under pressure: do they hold? exit 0 pass, 1 fail")
    .option("--pressure <pressure>", "charge them to this", "110 mbar")
    .option("--hold <time>", "for so long", "5 min")
    .option("--allow <pressure>", "what may be lost, in place of the rule")
    .option("--note <text>", "kept with the check")
    .option("--json", "one JSON object at the end")
    .option("--pace <n>", "so many times faster than life; a simulated gauge only")
    .action((name: string, words: KitWords) => choose({ ask: "kit-check", name, ...words }));
}
