import { dataError } from "../core/errors.ts";
import type { Review } from "../core/review/row.ts";
import { plainText } from "../core/text.ts";
import { standingOf } from "../evidence/chain.ts";
import type { Signer } from "./key.ts";
import type { Archive } from "./open.ts";
import { sealedEntries } from "./sealedEntries.ts";
import { knowsSeals } from "./sealedJournal.ts";
import { appendEntry } from "./sealing.ts";
import { field, has, type Kinds } from "./shape.ts";
import { guarded } from "./trouble.ts";

const REVIEW: Kinds = { word: ["accept", "return", "note"], by: "string", reason: "string", wall_ms: "number", seal: "string" };

const isReview = (value: unknown): value is Omit<Review, "intact"> => has(value, REVIEW);

/** What supervisors said of a record, in the order it was sealed. */
export function reviewsOf(archive: Archive, id: string): Review[] {
  if (!hasReviews(archive, id)) return [];
  const found: Review[] = [];
  for (const { kind, head, sealed, copies } of sealedEntries(archive, id)) {
    const said = field(head, "review");
    if (kind !== "review" || !isReview(said)) continue;
    const { word, by, reason, wall_ms, seal } = said;
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

/** The seal of a record in hexadecimal, or `unsealed`. */
export function sealOfRecord(archive: Archive, id: string): string {
  if (!knowsSeals(archive)) return "unsealed";
  const ask = archive.db
    .prepare<[string], Uint8Array>("select seal from seals where subject = ? and kind = 'record' order by entry limit 1")
    .pluck();
  const seal = guarded(archive.path, () => ask.get(id));
  return seal === undefined ? "unsealed" : Buffer.from(seal).toString("hex");
}

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
    const review = { ...said, seal: sealOfRecord(archive, id) };
    appendEntry(archive, signer, {
      kind: "review",
      subject: id,
      attempt: null,
      sealed_wall_ms: said.wall_ms,
      fields: { review },
      blocks: [],
    });
    return { ...review, intact: true };
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
