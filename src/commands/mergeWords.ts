import type { StaunchError } from "../core/errors.ts";
import { plainText } from "../core/text.ts";
import type { Merged } from "../storage/merge.ts";

/** Nobody reads more of them; `--json` names all. */
const MOST_NAMED = 20;

const counted = (n: number, what: string): string[] => (n === 0 ? [] : [`${n} ${what}`]);
const besidesText = (n: number): string => (n === 1 ? "review or second signature" : "reviews and second signatures");

function named<T>(list: readonly T[], lineOf: (one: T) => string): string[] {
  const rest = list.length - MOST_NAMED;
  return [...list.slice(0, MOST_NAMED).map(lineOf), ...(rest > 0 ? [`  and ${rest} more; see --json`] : [])];
}

/** What came of one file, for people. */
export function mergedLines(file: string, done: Merged): string[] {
  const counts = [
    `${done.taken} taken`,
    ...counted(done.completed, "taken in place of a copy without its seal or altered"),
    ...counted(done.already, "here already"),
    ...counted(done.besides, besidesText(done.besides)),
    ...counted(done.refused.length, "REFUSED"),
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
