import { type ChainFinding, chainFindings, type SealedEntry } from "../evidence/chain.ts";
import { type ClockSetBack, clocksSetBack, type SealedAt } from "../evidence/clockOrder.ts";
import { fingerprintOf, shortSeal } from "../evidence/seal.ts";
import type { Archive } from "../storage/open.ts";
import { unpackSealed } from "../storage/sealedJournal.ts";
import { type EntryKind, type SealedHead, sealedRecordOf } from "../storage/sealHead.ts";
import { type Looked, standings } from "../storage/standings.ts";
import { type ClockJumps, clockJumpsOf } from "./clockWords.ts";
import { type Again, judgedAgain } from "./rejudge.ts";

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
  trusted: string[];
  entries: EntryReport[];
  findings: Finding[];
}

export type Finding = ChainFinding | ClockSetBack;

export interface Ask {
  trusted: ReadonlySet<string>;
  /** Id of the only record wanted; the chain is then not looked at. */
  subject: string | null;
  deep: boolean;
}

export function verifyArchive(archive: Archive, { trusted, subject, deep }: Ask): VerifyReport {
  const entries: EntryReport[] = [];
  const chain: SealedEntry[] = [];
  const times: SealedAt[] = [];
  const signed: { report: EntryReport; seal: unknown }[] = [];
  const seals = new Map<string, Set<string>>();
  for (const looked of standings(archive, trusted, subject)) {
    const report = deep ? withAgain(archive, looked, reportOf(looked)) : reportOf(looked);
    entries.push(report);
    const { found } = looked;
    if (found === null) continue;
    chain.push(found.sealed);
    if (found.head !== null && looked.standing.standing !== "altered") times.push(found.head);
    const seal = Buffer.from(found.sealed.seal).toString("hex");
    if (looked.kind === "record") seals.set(looked.subject, (seals.get(looked.subject) ?? new Set()).add(seal));
    else signed.push({ report, seal: sealNamed(found.head) });
  }
  for (const { report, seal } of signed) {
    const own = seals.get(report.record);
    if (report.standing === "altered" || own === undefined || (typeof seal === "string" && own.has(seal))) continue;
    Object.assign(report, { standing: "altered", what: "the record it is about is not the one that lies here" });
  }
  const findings = subject === null ? [...chainFindings(chain), ...clocksSetBack(times)] : [];
  return { schema: "staunch/verify/1", file: archive.path, archive: archive.id, trusted: [...trusted], entries, findings };
}

function reportOf({ kind, subject, standing, found }: Looked): EntryReport {
  const { what, block } = whatOf(standing);
  const by = kind === "record" ? undefined : fieldOf(found?.head ?? null, "by");
  const clock = kind === "record" && standing.standing !== "altered" ? clockJumpsOf(found?.head ?? null) : null;
  const said = kind === "review" ? fieldOf(fieldOf(found?.head ?? null, "review"), "word") : undefined;
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
    ...(typeof by === "string" ? { by } : {}),
    ...(typeof said === "string" ? { said } : {}),
    ...(clock === null ? {} : { clock }),
  };
}

function whatOf(standing: Looked["standing"]): { what: string | null; block: number | null } {
  if (standing.standing === "altered") return { what: standing.what, block: standing.block };
  if (standing.standing !== "unsealed") return { what: null, block: null };
  return { what: standing.ended ? "it ended without a seal" : "it has no end yet", block: null };
}

const fieldOf = (of: unknown, name: string): unknown => (typeof of === "object" && of !== null ? Reflect.get(of, name) : undefined);

/** A second signature or review names the seal it is about. */
const sealNamed = (head: SealedHead | null): unknown => fieldOf(fieldOf(head, "signs"), "seal");

function withAgain(archive: Archive, { found, standing }: Looked, report: EntryReport): EntryReport {
  const head = found?.head ?? null;
  const record = head === null ? null : sealedRecordOf(head);
  if (found === null || head === null || record === null || standing.standing === "altered") return report;
  const again = judgedAgain(record.start, unpackSealed(archive, found.entry, head), record.verdict);
  if (again.again !== "not-its-verdict") return { ...report, again };
  return { ...report, again, standing: "altered", what: `the verdict is not what its journal gives: ${again.differences.join("; ")}` };
}
