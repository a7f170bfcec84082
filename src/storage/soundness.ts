import { plainText } from "../core/text.ts";
import type { Archive } from "./open.ts";
import { guarded } from "./trouble.ts";

/**
 * What is wrong with the pages of the file that an archive lies in, in words; empty: nothing. Where an index does not agree with its table, one question is
 * answered from the one and the next from the other, so that a list may show what was never looked at.
 */
export function fileFaults({ db, path }: Archive): string[] {
  return guarded(path, () => {
    const sound = String(db.pragma("integrity_check(1)", { simple: true }));
    const orphan = db.prepare("select 1 from pragma_foreign_key_check limit 1").get();
    return [
      ...(sound === "ok" ? [] : [`its pages are not whole: ${plainText(sound, 120)}`]),
      ...(orphan === undefined ? [] : ["rows of it belong to none"]),
    ];
  });
}
