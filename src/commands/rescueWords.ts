import { counted, plainText } from "../core/text.ts";
import { MIGRATIONS } from "../storage/migrate.ts";
import type { Rescued } from "../storage/rescue.ts";
import type { ListSays } from "../storage/rescueGone.ts";
import type { RescuedBeside, RescuedRecord } from "../storage/rescueTake.ts";
import { dayOf } from "../terminal/wall.ts";
import { countedSaid } from "./saidWords.ts";

const isOrAre = (n: number): string => (n === 1 ? "is" : "are");

/** What came out of a damaged archive, for people: record by record, then what stands beside them, then the sum. */
export function rescuedLines(file: string, output: string, done: Rescued, isWhole: boolean): string[] {
  return [
    `${plainText(file, 200)}: ${pagesText(done)}`,
    ...done.records.map(recordLine),
    ...done.besides.filter(({ what }) => what !== null).map(besideLine),
    ...done.gauges.map((gauge) => `gauge ${JSON.stringify(plainText(gauge.name, 60))}: ${gaugeText(gauge)}`),
    ...(done.strays === 0 ? [] : [`LOST: ${counted(done.strays, "row")} of gauges whose name or sheet is gone.`]),
    ...Object.entries(done.keys).map(([key, n]) => `key ${plainText(key)} sealed ${n} of what came over`),
    ...done.gaps.map((gap) => gapText(gap, done.from)),
    ...newerText(done.version),
    ...summary(output, done, isWhole),
  ];
}

function pagesText({ pages }: Rescued): string {
  const { size, present, unreadable, missing, spoilt_rows, spoilt_frames } = pages;
  const faults = [
    ...(unreadable === 0 ? [] : [`${counted(unreadable, "makes no sense or belongs", "make no sense or belong")} to nothing readable`]),
    ...(missing === 0 ? [] : [`${missing} more ${isOrAre(missing)} missing`]),
    ...(spoilt_rows === 0 ? [] : [`${counted(spoilt_rows, "row")} ${isOrAre(spoilt_rows)} spoilt`]),
    ...(spoilt_frames === 0 ? [] : [`${counted(spoilt_frames, "frame")} of the log ${isOrAre(spoilt_frames)} spoilt`]),
  ];
  return `${counted(present, "page")} of ${size} bytes, ${faults.length === 0 ? "all of which make sense" : faults.join(", ")}.`;
}

const WORDS: Readonly<Record<RescuedRecord["word"], string>> = {
  sealed: "whole",
  unsealed: "unsealed",
  unfinished: "unfinished",
  altered: "ALTERED",
  lost: "LOST",
};

function recordLine({ record, word, taken, what, events, listed }: RescuedRecord): string {
  const said =
    word === "altered"
      ? `ALTERED, ${taken ? "taken" : "kept out"}`
      : `${WORDS[word]}${word === "lost" && taken ? ", what is left was taken and marked" : ""}`;
  return `  ${plainText(record, 40)}  ${said}${whyText(word, what, events)}${listed === undefined ? "" : listedText(listed)}`;
}

/** What the list says of a record that is lost: good for looking for its copy. */
function listedText({ section, stage, source, started_wall_ms, word }: ListSays): string {
  const parts = [section, stage].map((text) => plainText(text, 40));
  const said = [...parts, dayOf(started_wall_ms), ...(source === "gauge" ? [] : [plainText(source, 20).toUpperCase()])];
  return ` Its list says: ${word === null ? "" : `${plainText(word, 20).toUpperCase()} `}${said.join(", ")}.`;
}

function whyText(word: RescuedRecord["word"], what: string | null, events: number | null): string {
  if (what !== null) return `: ${plainText(what, 200)}.`;
  if (word === "sealed") return ": its seal fits, to the last byte.";
  const came = counted(events ?? 0, "event");
  if (word === "unsealed") return `: ${came}; without a seal nothing shows whether it was altered.`;
  return `: ${came}, as far as they can be read; the next test in the new archive ends it.`;
}

function besideLine({ record, kind, taken, what }: RescuedBeside): string {
  const name = kind === "countersign" ? "second signature" : plainText(kind, 20);
  return `  ${plainText(record, 40)}  ${name} ${taken ? "ALTERED, taken" : "LOST"}: ${plainText(what ?? "", 200)}.`;
}

const gaugeText = ({ sheets, zeros, checks }: Rescued["gauges"][number]): string =>
  `${counted(sheets, "sheet")}, ${counted(zeros, "zero")}, ${counted(checks, "kit check")}`;

function gapText({ chain, from, to }: Rescued["gaps"][number], own: string | null): string {
  const which = from === to ? `Number ${from}` : `Numbers ${from} to ${to}`;
  const whose = chain === own ? "the damaged archive's chain" : `chain ${plainText(chain.slice(0, 8))}`;
  const why = chain === own ? "lost, or taken out before" : "lost, or left out when this was cut out";
  return `! ${which} of ${whose} ${from === to ? "is" : "are"} not here: ${why}.`;
}

const newerText = (version: number | null): string[] =>
  version === null || version <= MIGRATIONS.length
    ? []
    : [`! The file says that a newer Staunch wrote it (archive version ${version}): rescue it with that one, which may find more.`];

function summary(output: string, { records, besides }: Rescued, isWhole: boolean): string[] {
  const of = (...words: RescuedRecord["word"][]): number => records.filter(({ word }) => words.includes(word)).length;
  const beside = besides.filter(({ what }) => what === null).length;
  const gone = besides.length - beside;
  const parts = [
    `${counted(of("sealed"), "sealed record")} whole`,
    ...(beside === 0 ? [] : [countedSaid(beside)]),
    ...(of("unsealed") === 0 ? [] : [`${of("unsealed")} unsealed`]),
    ...(of("unfinished") === 0 ? [] : [`${of("unfinished")} unfinished`]),
    ...(of("altered") === 0 ? [] : [`${of("altered")} ALTERED`]),
    ...(of("lost") === 0 ? [] : [`${of("lost")} LOST`]),
    ...(gone === 0 ? [] : [`${countedSaid(gone)} LOST or altered`]),
  ];
  const end = isWhole
    ? "Nothing is known to be missing. A tail that is gone without a trace cannot be seen: compare with the last day-end code."
    : "What is missing may stand in a copy or handover: take it in with merge. A tail that is gone without a trace cannot be seen: compare with the last day-end code.";
  return [`${plainText(output, 200)}: ${parts.join(", ")}.`, end];
}
