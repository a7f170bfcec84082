import { EXIT } from "../core/errors.ts";
import { METHODS } from "../core/methods/index.ts";
import type { Limits } from "../core/methods/limits.ts";
import type { WaterLimits } from "../core/methods/waterPlan.ts";
import { plugMovement_Pa } from "../core/physics/air.ts";
import { thrust_N } from "../core/physics/thrust.ts";
import { plainJson, plainText } from "../core/text.ts";
import type { Command } from "./command.ts";
import { limitsFrom, pipeFrom, type SectionWords } from "./section.ts";
import { waterOptions } from "./waterWords.ts";
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
    waterOptions(
      line
        .command(`${name} ${argument}`)
        .description(description)
        .option("--dn <size>", "size the specification names: 300 (mm) or 12in")
        .option("--material <name>", "such as pvc, clay, dry-concrete")
        .option("--laid-length <length>", "45 (m) or 150ft"),
    )
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
  const { dn_mm, laid_length_m, test_Pa, charge_Pa, top_Pa } = limits;
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
    thrust_N: dn_mm === null ? null : thrust_N(charge_Pa, dn_mm),
    thrust_top_N: dn_mm === null ? null : thrust_N(top_Pa, dn_mm),
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

/** The same for people, as one would lay it before an inspector. */
function page(limits: Limits): string[] {
  const { method, laid_length_m, test_Pa } = limits;
  const plug =
    laid_length_m === null || limits.water !== undefined
      ? []
      : [`1 mm of plug movement in ${laid_length_m} m: ${plugMovement_Pa(test_Pa, 1, laid_length_m).toFixed(1)} Pa`];
  const bullet = (line: string): string => `  - ${line}`;
  return [
    `${plainText(method.title)} (${method.id})`,
    `Source: ${plainText(method.source)}`,
    `Provenance: ${limits.provenance}`,
    "",
    "Working:",
    ...[...limits.working, ...plug].map(bullet),
    "",
    limits.water === undefined ? "Before charging:" : "Before filling:",
    ...limits.cautions.map(bullet),
  ];
}

function list(): string[] {
  const width = Math.max(...METHODS.map(({ id }) => id.length));
  return METHODS.map(({ id, summary }) => `${id.padEnd(width)}  ${summary}`);
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
