import type { StaunchError } from "../core/errors.ts";
import { plainText } from "../core/text.ts";
import type { Merged } from "../storage/merge.ts";
import { countedSaid } from "./saidWords.ts";

/** Nobody reads more of them; `--json` names all. */
const MOST_NAMED = 20;

const ifAny = (n: number, what: string): string[] => (n === 0 ? [] : [`${n} ${what}`]);

function named<T>(list: readonly T[], lineOf: (one: T) => string): string[] {
  const rest = list.length - MOST_NAMED;
  return [...list.slice(0, MOST_NAMED).map(lineOf), ...(rest > 0 ? [`  and ${rest} more; see --json`] : [])];
}

/** What came of one file, for people. */
export function mergedLines(file: string, done: Merged): string[] {
  const counts = [
    `${done.taken} taken`,
    ...ifAny(done.completed, "taken in place of a copy without its seal or altered"),
    ...ifAny(done.already, "here already"),
    ...(done.besides === 0 ? [] : [countedSaid(done.besides)]),
    ...ifAny(done.refused.length, "REFUSED"),
  ];
  const keys = Object.entries(done.keys).map(([key, n]) => `  key ${plainText(key)} sealed ${n}`);
  return [
    `${plainText(file, 200)}: ${counts.join(", ")}.`,
    ...(done.unsealed === 0 ? [] : [`  ${done.unsealed} of them without a seal`]),
    ...keys,
    ...named(done.refused, ({ record, code, reason }) => `  refused ${plainText(record, 40)}: ${plainText(reason, 200)} (${code})`),
    ...named(done.marked, ({ record, what }) => `  ALTERED ${plainText(record, 40)}, taken and marked: ${plainText(what, 200)}`),
    ...named(
      done.otherGauges,
      (name) => `  gauge ${JSON.stringify(plainText(name, 60))} here is another one: its checks and zeros were left out`,
    ),
  ];
}

export const errorLines = ({ message, hint, code }: StaunchError): string[] => [
  `staunch: ${plainText(message, 500)}`,
  `  ${plainText(hint, 500)}`,
  `  (${code})`,
];
