import { EXIT, type ExitCode } from "../core/errors.ts";
import { type FitPoint, fitnessOf, isFit } from "../core/gauges/fitness.ts";
import { errorOf_Pa, factsOnFile } from "../core/gauges/sheet.ts";
import type { Limits } from "../core/methods/limits.ts";
import { plainJson, plainText } from "../core/text.ts";
import type { GaugeOnFile } from "../storage/gauges.ts";

const MARK = { true: "fit", false: "UNFIT", null: "not told" } as const;

const pointLine = ({ fit, text }: FitPoint): string => `  ${MARK[`${fit}`].padEnd(8)}  ${plainText(text, 300)}`;

/** Whether a gauge is fit for a method, and why. Exit 0 fit, 1 not. */
export function fitnessReport(
  gauge: Pick<GaugeOnFile, "name" | "sheet">,
  limits: Limits,
  today: string,
  json: boolean,
): { text: string; exit: ExitCode } {
  const { name, sheet } = gauge;
  const facts = {
    resolution_Pa: sheet.resolution_Pa,
    accuracy_fraction: sheet.accuracy_fraction,
    accuracy_Pa: errorOf_Pa(sheet),
    reference: sheet.reference ?? "vented",
    ...factsOnFile(name, sheet),
  };
  const points = fitnessOf(facts, limits, today);
  const fit = isFit(points);
  const exit = fit ? EXIT.pass : EXIT.fail;
  if (json) return { text: plainJson({ schema: "staunch/fitness/1", gauge: name, method: limits.method, today, fit, points }), exit };
  const head = `${fit ? "FIT" : "UNFIT"}: gauge ${plainText(name, 60)} for ${plainText(limits.method.title, 120)}`;
  return { text: [head, ...points.map(pointLine)].join("\n"), exit };
}
