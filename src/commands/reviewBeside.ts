import { isStaunchError } from "../core/errors.ts";
import { type OpenedRecord, sealWords, secondWords } from "../core/review/opened.ts";
import type { Review, Signature } from "../core/review/row.ts";
import { COUNTS_NOT } from "../core/review/sayings.ts";
import { plainText } from "../core/text.ts";
import type { Archive } from "../storage/open.ts";
import { refreshLines } from "../storage/reviewLines.ts";
import { wallTime } from "../terminal/wall.ts";
import { openAnew, openRecord } from "./reviewOpen.ts";
import { doneWords } from "./reviewSay.ts";

/** What stands beside a record: a second opinion that is another one, what supervisors said, who else signed. */
export interface Beside {
  lines: string[];
  json: { second_opinion?: OpenedRecord["second"]; reviews?: readonly Review[]; second_signatures?: readonly Signature[] };
}

/** Worked out from the journal, not taken from what is kept for lists. A record whose journal cannot be read is shown without. */
export function besideRecord(archive: Archive, id: string): Beside {
  try {
    const record = openAnew(archive, id);
    const second = secondWords(record);
    const { signatures } = record;
    const seal = record.altered === null ? sealWords(record) : null;
    return {
      lines: [
        ...(seal === null ? [] : [seal]),
        ...(second === null ? [] : [plainText(second, 400)]),
        ...record.reviews.map((review) => reviewLine(id, review)),
        ...signatures.map(signatureLine),
      ],
      json: {
        ...(second === null ? {} : { second_opinion: record.second }),
        ...(record.reviews.length === 0 ? {} : { reviews: record.reviews }),
        ...(signatures.length === 0 ? {} : { second_signatures: signatures }),
      },
    };
  } catch (error) {
    if (isStaunchError(error)) return { lines: [], json: {} };
    throw error;
  }
}

const countsNot = (intact: boolean): string => (intact ? "" : ` ${COUNTS_NOT}`);

const reviewLine = (id: string, review: Review): string =>
  `review ${wallTime(review.wall_ms)}${countsNot(review.intact)}: ${doneWords(id, review)}`;

const signatureLine = ({ by, key, wall_ms, intact }: Signature): string =>
  `second signature ${wallTime(wall_ms)}${countsNot(intact)}: ${plainText(by, 80)}, key ${key}`;

/**
 * Works out and keeps what lists and the supervisor's screen will want of a test that has just ended; the second opinion comes back in words when
 * it is another one. The verdict is on disk by then: whatever goes wrong here can be done again later and takes nothing from it.
 */
export function secondAfterTest(archive: Archive, id: string): string | null {
  try {
    refreshLines(archive);
    return secondWords(openRecord(archive, id));
  } catch {
    return null;
  }
}
