import { dataError } from "../core/errors.ts";
import type { Review } from "../core/review/row.ts";
import { plainText } from "../core/text.ts";
import { standingOf } from "../evidence/chain.ts";
import type { MachineKey } from "./key.ts";
import type { Archive } from "./open.ts";
import { findRecord } from "./records.ts";
import { sealedEntries } from "./sealedEntries.ts";
import { knowsSeals } from "./sealedJournal.ts";
import { appendEntry } from "./sealing.ts";
import { sealRecord } from "./sealRecord.ts";
import { field, has, type Kinds, text } from "./shape.ts";
import { recordStanding } from "./standings.ts";
import { guarded } from "./trouble.ts";

const REVIEW: Kinds = { word: ["accept", "return", "note"], by: "string", reason: "string", wall_ms: "number" };

const isReview = (value: unknown): value is NewReview => has(value, REVIEW);

/** What supervisors said of a record, in the order it was sealed. */
export function reviewsOf(archive: Archive, id: string): Review[] {
  if (!hasReviews(archive, id)) return [];
  const found: Review[] = [];
  for (const { kind, head, sealed, copies } of sealedEntries(archive, id)) {
    const said = field(head, "review");
    const seal = text(field(field(head, "signs"), "seal"));
    if (kind !== "review" || !isReview(said) || seal === null) continue;
    const { word, by, reason, wall_ms } = said;
    found.push({ word, by, reason, wall_ms, seal, intact: copies.length === 0 && standingOf(sealed, null).standing === "intact" });
  }
  return found;
}

/** Asked first, for most records have none and the entry of a record is large. */
function hasReviews(archive: Archive, id: string): boolean {
  if (!knowsSeals(archive)) return false;
  const ask = archive.db.prepare<[string], number>("select 1 from seals where subject = ? and kind = 'review' limit 1").pluck();
  return guarded(archive.path, () => ask.get(id)) !== undefined;
}

/** What a review or a second signature says of the entry it is about. */
interface Signs {
  record: string;
  chain: string;
  number: number;
  /** Hexadecimal. */
  seal: string;
}

function sealedAs(archive: Archive, record: string): (Signs & { sealed_wall_ms: number }) | null {
  if (!knowsSeals(archive)) return null;
  const sql = "select chain, number, seal, sealed_wall_ms from seals where subject = ? and kind = 'record' order by entry limit 1";
  const ask = archive.db.prepare<[string], { chain: string; number: number; seal: Uint8Array; sealed_wall_ms: number }>(sql);
  const found = guarded(archive.path, () => ask.get(record));
  if (found === undefined) return null;
  const { chain, number, seal, sealed_wall_ms } = found;
  return { record, chain, number, seal: Buffer.from(seal).toString("hex"), sealed_wall_ms };
}

/** The seal of a record in hexadecimal and when it was made; `unsealed` and `null` when it has none. */
export function sealOfRecord(archive: Archive, id: string): { seal: string; sealed_wall_ms: number | null } {
  const { seal, sealed_wall_ms } = sealedAs(archive, id) ?? { seal: "unsealed", sealed_wall_ms: null };
  return { seal, sealed_wall_ms };
}

export interface NewReview {
  word: Review["word"];
  by: string;
  reason: string;
  wall_ms: number;
}

/**
 * Appends what a supervisor says of a record, sealed and signed by this machine's key, naming the seal of the record; nothing that was said before
 * is changed. A record that ended without a seal is sealed first, in the same transaction: a review of what may still be changed would say nothing.
 * StaunchErrors: `review-altered` (65) when the record is not what was sealed, `review-unsealed` (65) when it can get no seal, those of a busy or
 * full archive (74).
 */
export function appendReview(archive: Archive, key: MachineKey, id: string, said: NewReview): NewlySaid {
  const add = archive.db.transaction((): NewlySaid => {
    refuseAltered(archive, id);
    const before = sealedAs(archive, id);
    const { sealed_wall_ms: _at, ...signs } = before ?? sealNow(archive, key, id, said.wall_ms);
    const { word, by, reason, wall_ms } = said;
    appendEntry(archive, key, {
      kind: "review",
      subject: id,
      attempt: null,
      sealed_wall_ms: wall_ms,
      fields: { by, signs, review: { word, by, reason, wall_ms } },
      blocks: [],
    });
    return { ...said, seal: signs.seal, intact: true, sealedNow: before === null };
  });
  return guarded(archive.path, () => add.immediate());
}

/** A review as it was just sealed; `sealedNow`: its record had no seal until then. */
export interface NewlySaid extends Review {
  sealedNow: boolean;
}

function refuseAltered(archive: Archive, id: string): void {
  const standing = recordStanding(archive, id);
  if (standing.standing !== "altered") return;
  throw dataError(
    "review-altered",
    `Record ${plainText(id, 60)} is not what was sealed: ${standing.what}. Nothing can be said of it that would hold.`,
    "See what differs with `staunch verify`; look for a copy that is intact.",
  );
}

function sealNow(archive: Archive, key: MachineKey, id: string, wall_ms: number): NonNullable<ReturnType<typeof sealedAs>> {
  const { number, start, end } = findRecord(archive, id);
  let why = "it has no end yet";
  const onUnsealed = (reason: string): void => {
    why = reason;
  };
  if (end !== null) sealRecord(archive, number, start, end, { key, onUnsealed }, wall_ms);
  const signs = sealedAs(archive, id);
  if (signs !== null) return signs;
  throw dataError(
    "review-unsealed",
    `Record ${plainText(id, 60)} has no seal and can get none: ${plainText(why, 300)}`,
    "Nothing would hold a review to it; test the section again.",
  );
}
