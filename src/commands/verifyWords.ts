import { EXIT, type ExitCode } from "../core/errors.ts";
import { counted, plainText } from "../core/text.ts";
import { jumpsText, spanText } from "./clockWords.ts";
import { countedSaid } from "./saidWords.ts";
import type { EntryReport, Finding, VerifyReport } from "./verifyArchive.ts";
import { saysText } from "./verifySays.ts";

const WORDS: Readonly<Record<EntryReport["standing"], string>> = {
  intact: "intact",
  altered: "ALTERED",
  unsealed: "unsealed",
  "unknown-key": "unknown key",
};

/**
 * 1 when anything was altered, deleted from this archive's own chain or stands there twice, or the file is not sound; else 2 when anything is
 * unsealed, of a key nobody named, or a counter of attempts was set back.
 */
export function exitOf({ archive, entries, findings }: VerifyReport): ExitCode {
  const isBroken = (one: Finding): boolean =>
    one.kind === "file-unsound" || one.kind === "forked" || (one.kind === "not-included" && one.chain === archive);
  if (entries.some(({ standing }) => standing === "altered") || findings.some(isBroken)) return EXIT.fail;
  const isDoubtful = entries.some(({ standing }) => standing !== "intact") || findings.some(({ kind }) => kind === "counter-set-back");
  return isDoubtful ? EXIT.undecided : EXIT.pass;
}

/** The report for people: a line an entry, then findings, keys and the sum. */
export function verifyLines(report: VerifyReport): string[] {
  const { archive, entries, findings, record } = report;
  const lines = entries.flatMap(entryLines);
  const strangers = new Set(entries.flatMap(({ standing, key }) => (standing === "unknown-key" && key !== null ? [key] : [])));
  const hints = [...strangers].map((key) => `Unknown key ${key}: ask its owner for this fingerprint, then repeat with --trust "${key}".`);
  return [...lines, ...findings.map((one) => `! ${findingText(one, archive)}`), ...hints, ...keyLines(entries), summary(entries, record)];
}

/** Whose word all of it is: one key may be trusted as a witness's and not as a tester's. */
function keyLines(entries: readonly EntryReport[]): string[] {
  const sealed = new Map<string, { records: number; said: number }>();
  for (const { standing, key, kind } of entries) {
    if (standing !== "intact" || key === null) continue;
    const count = sealed.get(key) ?? { records: 0, said: 0 };
    count[kind === "record" ? "records" : "said"]++;
    sealed.set(key, count);
  }
  return [...sealed].map(([key, { records, said }]) => {
    const parts = [...(records === 0 ? [] : [counted(records, "record")]), ...(said === 0 ? [] : [countedSaid(said)])];
    return `Key ${key} sealed ${parts.join(" and ")}.`;
  });
}

function entryLines({ record, kind, standing, what, number, code, says, by, said, clock, again }: EntryReport): string[] {
  const act = said === undefined ? kind : `${kind} (${plainText(said, 20)})`;
  const name = kind === "record" ? "" : `  ${act}${by === undefined ? "" : ` by ${plainText(by, 60)}`}`;
  const told = says === undefined || standing === "altered" ? "" : `  ${saysText(says)}`;
  const place = number === null ? "" : `  number ${number}, code ${code}`;
  const judged = again === undefined ? "" : `  ${againText(again)}`;
  return [
    `${plainText(record, 40)}  ${WORDS[standing]}${name}${told}${place}${judged}`,
    ...(what === null ? [] : [`  ${plainText(what, 300)}`]),
    ...(clock === undefined ? [] : [`  ${jumpsText(clock)}`]),
  ];
}

function againText(again: NonNullable<EntryReport["again"]>): string {
  switch (again.again) {
    case "same":
      return "judged again: the same verdict";
    case "differently":
      return `judged differently now (newer rules): ${plainText(again.differences.join("; "), 200)}`;
    case "not-its-verdict":
      return "judged again: another verdict";
    case "impossible":
      return `cannot be judged again here: ${plainText(again.why, 200)}`;
  }
}

function findingText(finding: Finding, own: string): string {
  if (finding.kind === "file-unsound")
    return `The file is not sound: ${plainText(finding.what, 200)}. Lists may show what was not looked at.`;
  const chain = finding.chain === own ? "this archive's chain" : `chain ${plainText(finding.chain.slice(0, 8))}`;
  switch (finding.kind) {
    case "not-included": {
      const which = finding.from === finding.to ? `Number ${finding.from}` : `Numbers ${finding.from} to ${finding.to}`;
      const why = finding.chain === own ? "taken out or deleted" : "left out when this was cut out, or deleted";
      return `${which} of ${chain} ${finding.from === finding.to ? "is" : "are"} not included: ${why}.`;
    }
    case "forked":
      return `Forked at number ${finding.number} of ${chain}: two histories were written, such as by two copies of one archive.`;
    case "attempts-missing":
      return `${counted(finding.count, "attempt")} ${afterText(finding.after)} of ${chain} left no record here: thrown away, or kept in another archive.`;
    case "counter-set-back":
      return `The counter of attempts stood lower at number ${finding.number} of ${chain} than before: attempts may be hidden.`;
    case "clock-set-back":
      return `Number ${finding.number} of ${chain} was sealed ${spanText(finding.by_s)} before number ${finding.before} by the time of day: the clock was set back. The numbers tell the order.`;
  }
}

const afterText = (number: number): string => (number === 0 ? "before the first record of its key" : `after number ${number}`);

function summary(entries: readonly EntryReport[], record: string | null): string {
  const count = (wanted: EntryReport["standing"]): number => entries.filter(({ standing }) => standing === wanted).length;
  const parts = (["intact", "altered", "unsealed", "unknown-key"] as const)
    .map((standing) => ({ standing, n: count(standing) }))
    .filter(({ standing, n }) => n > 0 || standing === "intact")
    .map(({ standing, n }) => `${n} ${WORDS[standing].toLowerCase()}`);
  return `${parts.join(", ")}.${record === null ? "" : " The chain was not looked at."}`;
}
