import { plainText } from "../core/text.ts";
import { shortSeal } from "../evidence/seal.ts";
import { chainHead, countStarted } from "../storage/chainHead.ts";
import type { MachineKey } from "../storage/key.ts";
import type { Archive } from "../storage/open.ts";
import { dayOf } from "../terminal/wall.ts";

/** What a witness writes down when the day is over: a tail cut off later no longer fits it. */
export interface DayEnd {
  schema: "staunch/day-end/1";
  day: string;
  archive: string;
  /** Number and short seal of the last entry; `null` while nothing is sealed. */
  number: number | null;
  code: string | null;
  records: number;
  unsealed: number;
  /** Attempts this machine's key has ever begun; `null`: it has no key. */
  attempts: number | null;
}

export function dayEnd(archive: Archive, key: MachineKey | null, now_wall_ms: number): DayEnd {
  const now = new Date(now_wall_ms);
  const midnight = (days: number): number => new Date(now.getFullYear(), now.getMonth(), now.getDate() + days).getTime();
  const started = countStarted(archive, midnight(0), midnight(1));
  const head = chainHead(archive);
  return {
    schema: "staunch/day-end/1",
    day: dayOf(now_wall_ms),
    archive: archive.id,
    number: head?.number ?? null,
    code: head === null ? null : shortSeal(head.seal),
    records: started.sealed,
    unsealed: started.unsealed,
    attempts: key?.attempts() ?? null,
  };
}

export function dayEndLines({ day, archive, number, code, records, unsealed, attempts }: DayEnd): string[] {
  return [
    `Day-end code ${day}`,
    `  archive   ${plainText(archive.slice(0, 8))}`,
    `  code      ${code ?? "nothing is sealed yet"}`,
    `  number    ${number ?? 0}`,
    `  records   ${records} today${unsealed === 0 ? "" : `, and ${unsealed} unsealed`}`,
    ...(attempts === null ? [] : [`  attempts  ${attempts} ever begun with this machine's key`]),
    "Let a witness write down code, number and attempts, and keep the note away from this machine.",
  ];
}
