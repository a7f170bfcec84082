import { dataError } from "../core/errors.ts";
import type { Review } from "../core/review/row.ts";
import { plainText } from "../core/text.ts";
import { standingOf } from "../evidence/chain.ts";
import type { Signer } from "./key.ts";
import type { Archive } from "./open.ts";
import { sealedEntries } from "./sealedEntries.ts";
import { knowsSeals } from "./sealedJournal.ts";
import { appendEntry } from "./sealing.ts";
import { field, has, type Kinds, text } from "./shape.ts";
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

function sealedAs(archive: Archive, record: string): Signs | null {
  if (!knowsSeals(archive)) return null;
  const sql = "select chain, number, seal from seals where subject = ? and kind = 'record' order by entry limit 1";
  const ask = archive.db.prepare<[string], { chain: string; number: number; seal: Uint8Array }>(sql);
  const found = guarded(archive.path, () => ask.get(record));
  return found === undefined ? null : { record, chain: found.chain, number: found.number, seal: Buffer.from(found.seal).toString("hex") };
}

/** The seal of a record in hexadecimal, or `unsealed`. */
export const sealOfRecord = (archive: Archive, id: string): string => sealedAs(archive, id)?.seal ?? "unsealed";

export interface NewReview {
  word: Review["word"];
  by: string;
  reason: string;
  wall_ms: number;
}

/**
 * Appends what a supervisor says of a record, sealed and signed by this machine's key, naming the seal the record has now. Nothing that was said
 * before is changed. StaunchErrors: `review-altered` (65) when the record's own entry is not what was sealed, those of a busy or full archive (74).
 */
export function appendReview(archive: Archive, signer: Signer, id: string, said: NewReview): Review {
  const add = archive.db.transaction((): Review => {
    refuseAltered(archive, id);
    const signs = sealedAs(archive, id) ?? { record: id, seal: "unsealed" };
    const { word, by, reason, wall_ms } = said;
    appendEntry(archive, signer, {
      kind: "review",
      subject: id,
      attempt: null,
      sealed_wall_ms: wall_ms,
      fields: { by, signs, review: { word, by, reason, wall_ms } },
      blocks: [],
    });
    return { ...said, seal: signs.seal, intact: true };
  });
  return guarded(archive.path, () => add.immediate());
}

function refuseAltered(archive: Archive, id: string): void {
  for (const { kind, sealed, copies } of sealedEntries(archive, id)) {
    const standing = standingOf(sealed, null);
    if (kind !== "record" || (standing.standing === "intact" && copies.length === 0)) continue;
    throw dataError(
      "review-altered",
      `Record ${plainText(id, 60)} is not what was sealed, so nothing can be said of it that would hold.`,
      "See what differs with: staunch verify",
    );
  }
}
