/** Many archives into one, in whatever order, cut off anywhere and taken again: nothing lost, nothing doubled. */
import fc from "fast-check";
import { expect, it } from "vitest";
import { countersign } from "../../src/storage/countersign.ts";
import { appender } from "../../src/storage/journal.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { appendReview } from "../../src/storage/reviews.ts";
import { standings } from "../../src/storage/standings.ts";
import { bend, contents, crew, given, ids, office, reopened, take } from "../support/merging.ts";
import { everyKind, sampleEnd, sampleStart } from "../support/records.ts";

/** Three crews' archives and what was handed over of them: whole, in part, doubled, altered, once before it was reviewed, once before it was sealed. */
async function files(): Promise<{ good: string[]; bad: string[] }> {
  const [a, b, c] = [await crew("a1", "a2", "a3"), await crew("b1", "b2"), await crew("c1")];
  const early = given(a.path, ["a1", "a2"]);
  reopened(a.path, (archive) => {
    appendReview(archive, a.key, "a1", { word: "return", by: "S. Visor", reason: "wet hose", wall_ms: 1 });
    appendReview(archive, a.key, "a1", { word: "accept", by: "S. Visor", reason: "", wall_ms: 2 });
    countersign(archive, b.key, { record: "a3", by: "W. Witness", wall_ms: 3 });
  });
  const bent = given(b.path, ["b1", "b2"]);
  bend(bent, "update ends set word = 'fail' where record = 1");
  return { good: [a.path, b.path, c.path, early, given(a.path, ["a3"]), given(b.path, ["b2", "b1"])], bad: [bent, bareCopy("b2")] };
}

/** The same record as it lay before it was sealed. */
function bareCopy(id: string): string {
  const archive = office();
  const start = sampleStart({ id });
  const number = insertStart(archive.db, start);
  appender(archive.db)(number, everyKind());
  insertEnd(archive.db, number, sampleEnd(start));
  archive.close();
  return archive.path;
}

it("gives the same archive in any order, with files taken twice and some broken off", { timeout: 120_000 }, async () => {
  const { good, bad } = await files();
  const all = [...good, ...bad];
  const into = office();
  for (const file of good) take(into, file);
  const wanted = contents(into);
  expect(ids(into)).toEqual(["a1", "a2", "a3", "b1", "b2", "c1"]);
  into.close();
  const order = fc.record({
    once: fc.shuffledSubarray(all, { minLength: all.length }),
    again: fc.array(fc.constantFrom(...all), { maxLength: 3 }),
    cut: fc.constantFrom("a2", "b1", "c1", "none"),
  });
  fc.assert(
    fc.property(order, ({ once, again, cut }) => {
      const mine = office();
      mine.db.exec(`create temp trigger cut before insert on main.records when new.id = '${cut}' begin select raise(abort, 'cut'); end`);
      for (const file of again) {
        try {
          take(mine, file);
        } catch (error) {
          if (!(error instanceof Error && error.message === "cut")) throw error;
        }
      }
      mine.db.exec("drop trigger cut");
      for (const file of once) take(mine, file);
      expect(contents(mine)).toEqual(wanted);
      expect([...standings(mine, new Set())].filter(({ standing }) => standing.standing !== "unknown-key")).toEqual([]);
      mine.close();
    }),
    { numRuns: 25 },
  );
});
