import { EXIT } from "../core/errors.ts";
import { displayUnit } from "../core/methods/displayUnit.ts";
import { figure, inMinutes } from "../core/methods/finish.ts";
import { METHOD_GROUPS, METHODS } from "../core/methods/index.ts";
import type { Limits } from "../core/methods/limits.ts";
import type { Method } from "../core/methods/method.ts";
import type { WaterLimits } from "../core/methods/waterPlan.ts";
import { plugMovement_Pa } from "../core/physics/air.ts";
import { thrust_N } from "../core/physics/thrust.ts";
import { plainJson, plainText } from "../core/text.ts";
import { toUnit } from "../core/units.ts";
import type { Command } from "./command.ts";
import { limitsFrom, pipeFrom, type SectionWords, sectionOptions } from "./section.ts";
import { commandLine, readWords } from "./words.ts";

/** What `methods` was asked to do. `word` is a method's id or file. */
export type MethodsOptions = { json: boolean } & ({ ask: "list" } | { ask: "show" | "check"; word: string; section: SectionWords });

type ShowWords = SectionWords & { json?: boolean };

function parse(words: readonly string[], io: Parameters<Command["parse"]>[1]): MethodsOptions | null {
  const line = commandLine("methods", "List test methods, work one out for a section, check a method file.", [
    "staunch methods show en1610-lc --dn 300 --material pvc --laid-length 45",
    "staunch methods show en1610-w --dn 300 --laid-length 45 --standpipe 100",
    "staunch methods list",
  ]);
  let chosen: MethodsOptions | null = null;
  line
    .command("list")
    .description("every method built in")
    .option("--json", "one JSON object")
    .action((found: { json?: boolean }) => {
      chosen = { ask: "list", json: found.json === true };
    });
  const section = (name: string, argument: string, description: string, ask: "show" | "check"): void => {
    sectionOptions(line.command(`${name} ${argument}`).description(description))
      .option("--json", "one JSON object")
      .action((word: string, { json, ...found }: ShowWords) => {
        chosen = { ask, word, section: found, json: json === true };
      });
  };
  section("show", "<method>", "limits, working and thrust for a section; an id or a method file", "show");
  section("check", "<file>", "whether a method file can be used, field by field", "check");
  return readWords(line, words, io) ? chosen : null;
}

/** The object `--json` prints. Thrust needs a DN, plug movement a laid length; `null` without. */
export function shown(limits: Limits): Record<string, unknown> {
  const { laid_length_m, test_Pa, charge_Pa, top_Pa } = limits;
  const bore_mm = limits.plugBore_mm ?? limits.dn_mm;
  return {
    ...limits.method,
    provenance: limits.provenance,
    medium: limits.medium,
    stop: limits.stop,
    direction: limits.direction,
    charge_Pa,
    settle_s: limits.settle_s,
    test_Pa,
    hold_s: limits.hold_s,
    permitted_drop_Pa: limits.permittedDrop_Pa,
    floor_Pa: limits.floor_Pa,
    boundary: limits.boundary,
    thrust_N: bore_mm === null ? null : thrust_N(charge_Pa, bore_mm),
    thrust_top_N: bore_mm === null ? null : thrust_N(top_Pa, bore_mm),
    top_pressure_Pa: top_Pa,
    // A plug in water moves the level, not a spring of air.
    plug_mm_Pa: laid_length_m === null || limits.water !== undefined ? null : plugMovement_Pa(test_Pa, 1, laid_length_m),
    ...(limits.water === undefined ? {} : { water: waterShown(limits.water) }),
    cautions: limits.cautions,
    working: limits.working,
  };
}

const waterShown = (water: WaterLimits): Record<string, unknown> => ({
  permitted_L: water.permitted_L,
  area_m2: water.area_m2,
  litres_per_m2: water.litresPerM2,
  part: water.part,
  low_Pa: water.low_Pa,
  high_Pa: water.high_Pa,
  band_Pa: water.band_Pa,
  hold_tolerance_s: water.holdTolerance_s,
  surface_m2: water.surface_m2,
});

/** Widest page an inspector's paper or a small terminal takes. */
const WIDTH = 80;

/** `text` in lines of at most WIDTH after `first`, those that follow set in as far as `first` reaches. */
function wrap(first: string, text: string): string[] {
  const lines = [first];
  let empty = true;
  for (const word of text.split(" ")) {
    const line = lines.at(-1) ?? "";
    if (!empty && line.length + 1 + word.length > WIDTH) lines.push(" ".repeat(first.length) + word);
    else lines[lines.length - 1] = empty ? line + word : `${line} ${word}`;
    empty = false;
  }
  return lines;
}

/** The figures that decide, one a line. */
function figures(limits: Limits): string[] {
  const unit = displayUnit(limits);
  const pressure = (value_Pa: number): string => `${figure(Number(toUnit(value_Pa, unit).toPrecision(5)))} ${unit}`;
  const rows: [string, string][] = [
    [
      "Charge",
      limits.settle_s > 0 ? `${pressure(limits.charge_Pa)}, settle ${inMinutes(limits.settle_s)} at least` : pressure(limits.charge_Pa),
    ],
    ["Test", `${pressure(limits.test_Pa)} ± ${pressure(limits.startTolerance_Pa)}`],
    ["Hold", limits.stop === "fixed-drop" ? `${inMinutes(limits.hold_s)} at least for the fall below` : inMinutes(limits.hold_s)],
    limits.floor_Pa === null
      ? ["Permitted", `${limits.boundary === "less" ? "less than" : "at most"} ${pressure(limits.permittedDrop_Pa)} lost`]
      : ["Permitted", `${limits.boundary === "less" ? "more than" : "at least"} ${pressure(limits.floor_Pa)} left`],
    ["Top", `${pressure(limits.top_Pa)}, never to be exceeded`],
  ];
  return rows.map(([name, text]) => `  ${name.padEnd(10)}${text}`);
}

/** The same for people, as one would lay it before an inspector. */
function page(limits: Limits): string[] {
  const { method, laid_length_m, test_Pa } = limits;
  const water = limits.water !== undefined;
  const plug =
    laid_length_m === null || water
      ? []
      : [`1 mm of plug movement in ${laid_length_m} m: ${plugMovement_Pa(test_Pa, 1, laid_length_m).toFixed(1)} Pa`];
  const bullet = (line: string): string[] => wrap("  - ", plainText(line, 1000));
  return [
    ...wrap("", `${plainText(method.title)} (${method.id})`),
    ...wrap("Source: ", plainText(method.source)),
    ...wrap("Provenance: ", plainText(limits.provenance, 1000)),
    "",
    ...(water ? [] : [...figures(limits), ""]),
    "Working:",
    ...[...limits.working, ...plug].flatMap(bullet),
    "",
    water ? "Before filling:" : "Before charging:",
    ...limits.cautions.flatMap(bullet),
  ];
}

function list(): string[] {
  const width = Math.max(...METHODS.map(({ id }) => id.length));
  const row = ({ id, summary }: Method): string[] => wrap(`  ${id.padEnd(width)}  `, summary);
  return METHOD_GROUPS.flatMap(({ title, methods: members }, n) => [...(n === 0 ? [] : [""]), title, ...members.flatMap(row)]);
}

export const methods: Command<MethodsOptions> = {
  parse,
  async run(options, { io }) {
    if (options.ask === "list") {
      const all = METHODS.map(({ id, title, source, summary }) => ({ id, title, source, summary }));
      io.out(options.json ? plainJson({ methods: all }) : list().join("\n"));
      return EXIT.pass;
    }
    const limits = await limitsFrom(options.word, pipeFrom(options.section), io);
    const head = options.ask === "check" ? [`${plainText(options.word)}: can be used.`, ""] : [];
    io.out(options.json ? plainJson(shown(limits)) : [...head, ...page(limits)].join("\n"));
    return EXIT.pass;
  },
};
