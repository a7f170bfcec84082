import { attemptsSince, attemptsTwice, type Counter } from "../evidence/attempts.ts";
import { type ChainFinding, chainFindings, type SealedEntry } from "../evidence/chain.ts";
import { type ClockSetBack, clocksSetBack, type SealedAt } from "../evidence/clockOrder.ts";
import { fingerprintOf, shortSeal } from "../evidence/seal.ts";
import type { Archive } from "../storage/open.ts";
import type { EntryKind } from "../storage/sealHead.ts";
import { field } from "../storage/shape.ts";
import { fileFaults } from "../storage/soundness.ts";
import { type Looked, standings } from "../storage/standings.ts";
import { type ClockJumps, clockJumpsOf } from "./clockWords.ts";
import type { Again } from "./rejudge.ts";
import { withAgain } from "./verifyAgain.ts";
import { type RecordSays, recordSays } from "./verifySays.ts";
import { SideBySide } from "./verifyTogether.ts";

/** One entry as `--json` prints it; `null` where an unsealed record has nothing to say. */
export interface EntryReport {
  record: string;
  kind: EntryKind;
  standing: "intact" | "altered" | "unsealed" | "unknown-key";
  /** What differs, or why it is unsealed. */
  what: string | null;
  /** The first block that differs, from 1. */
  block: number | null;
  key: string | null;
  chain: string | null;
  number: number | null;
  /** The seal in short, to be held against a witness's notebook. */
  code: string | null;
  attempt: number | null;
  /** Of a sealed record that was not altered: what it says of itself. */
  says?: RecordSays;
  /** Of a second signature or a review: who signed. */
  by?: string;
  /** Of a review: its word. */
  said?: string;
  /** Of a record during which the wall clock was set. */
  clock?: ClockJumps;
  /** With --deep: what judging again gave. */
  again?: Again;
}

export interface VerifyReport {
  schema: "staunch/verify/1";
  file: string;
  archive: string;
  /** The only record that was looked at; `null`: all, and their chain. */
  record: string | null;
  trusted: string[];
  entries: EntryReport[];
  findings: Finding[];
}

export type Finding = ChainFinding | ClockSetBack | FileUnsound;

/** The file is not as this program makes it; what was looked at may not be what lists show. */
export interface FileUnsound {
  kind: "file-unsound";
  what: string;
}

export interface Ask {
  trusted: ReadonlySet<string>;
  /** Id of the only record wanted; the chain is then not looked at. */
  subject: string | null;
  deep: boolean;
  /** What this machine's counter of attempts says; `null`: it has no key. */
  counter: Counter | null;
}

/** Looks at every entry, or at those of one record, and at what shows only between entries; all in the order of the chains. */
export function verifyArchive(archive: Archive, { trusted, subject, deep, counter }: Ask): VerifyReport {
  const unsound = fileFaults(archive).map((what): FileUnsound => ({ kind: "file-unsound", what }));
  const entries: EntryReport[] = [];
  const chain: SealedEntry[] = [];
  const times: SealedAt[] = [];
  const together = new SideBySide();
  for (const looked of standings(archive, trusted, subject)) {
    const report = deep ? withAgain(archive, looked, reportOf(looked)) : reportOf(looked);
    entries.push(report);
    together.add(looked, report);
    const { found, standing } = looked;
    if (found === null) continue;
    chain.push(found.sealed);
    if (found.head !== null && standing.standing !== "altered") times.push(found.head);
  }
  together.settle();
  const findings = subject === null ? [...chainFindings(chain), ...attemptsTwice(chain), ...clocksSetBack(times)] : [];
  if (subject === null && counter !== null) findings.push(...attemptsSince(archive.id, chain, counter));
  return {
    schema: "staunch/verify/1",
    file: archive.path,
    archive: archive.id,
    record: subject,
    trusted: [...trusted],
    entries,
    findings: [...unsound, ...findings],
  };
}

function reportOf({ kind, subject, standing, found }: Looked): EntryReport {
  const { what, block } = whatOf(standing);
  const says = standing.standing === "altered" ? null : recordSays(found?.head ?? null);
  const by = kind === "record" ? undefined : field(found?.head ?? null, "by");
  const clock = kind === "record" && standing.standing !== "altered" ? clockJumpsOf(found?.head ?? null) : null;
  const said = kind === "review" ? field(field(found?.head ?? null, "review"), "word") : undefined;
  return {
    record: subject,
    kind,
    standing: standing.standing,
    what,
    block,
    key: found === null ? null : fingerprintOf(found.sealed.publicDer),
    chain: found?.sealed.chain ?? null,
    number: found?.sealed.number ?? null,
    code: found === null ? null : shortSeal(found.sealed.seal),
    attempt: found?.sealed.attempt ?? null,
    ...(says === null ? {} : { says }),
    ...(typeof by === "string" ? { by } : {}),
    ...(typeof said === "string" ? { said } : {}),
    ...(clock === null ? {} : { clock }),
  };
}

function whatOf(standing: Looked["standing"]): { what: string | null; block: number | null } {
  if (standing.standing === "altered") return { what: standing.what, block: standing.block };
  if (standing.standing !== "unsealed") return { what: null, block: null };
  const why = standing.ended ? "it ended without a seal" : "it has no end yet";
  return { what: standing.mark === null ? why : `out of a damaged archive: ${standing.mark}`, block: null };
}
