import { describe, expect, it } from "vitest";
import { chainHead } from "../../src/storage/chainHead.ts";
import { openArchive } from "../../src/storage/open.ts";
import { appendReview, reviewsOf } from "../../src/storage/reviews.ts";
import { sealedEntries } from "../../src/storage/sealedEntries.ts";
import { bend, contents, crew, given, ids, office, reopened, take } from "../support/merging.ts";

describe("what was altered", () => {
  const broken = async (): Promise<{ good: string; bad: string }> => {
    const a = await crew("one", "two");
    const [good, bad] = [given(a.path, ["one", "two"]), given(a.path, ["one", "two"])];
    bend(bad, "update blocks set bytes = cast(x'00' || bytes as blob) where entry = 1");
    return { good, bad };
  };

  it("is refused and named; all else of the file is taken", async () => {
    const { bad } = await broken();
    const into = office();
    expect(take(into, bad)).toMatchObject({
      taken: 1,
      refused: [{ record: "one", code: "altered", reason: "block 1 of the journal is not the one that was sealed" }],
    });
    expect(ids(into)).toEqual(["two"]);
    into.close();
  });

  it("is taken when told, marked, and gives way to an intact copy in whatever order they come", async () => {
    const { good, bad } = await broken();
    const [first, second] = [office(), office()];
    expect(take(first, bad, { takeAltered: true })).toMatchObject({ taken: 2, marked: [{ record: "one" }], refused: [] });
    expect(first.db.prepare("select what from taken_altered").pluck().all()).toEqual([
      "block 1 of the journal is not the one that was sealed",
    ]);
    expect(take(first, bad, { takeAltered: true })).toMatchObject({ taken: 0, already: 2, marked: [] });
    expect(take(first, good)).toMatchObject({ completed: 1, already: 1 });
    take(second, good);
    expect(take(second, bad, { takeAltered: true })).toMatchObject({ already: 2, refused: [] });
    expect(contents(first)).toEqual(contents(second));
    expect(first.db.prepare("select count(*) from taken_altered").pluck().get()).toBe(0);
    first.close();
    second.close();
  });

  it("among reviews is refused without its record", async () => {
    const a = await crew("one");
    reopened(a.path, (archive) => appendReview(archive, a.key, "one", { word: "accept", by: "S. Visor", reason: "", wall_ms: 1 }));
    const out = given(a.path, ["one"]);
    bend(out, "update seals set signature = zeroblob(64) where kind = 'review'");
    const into = office();
    const refused = [{ record: "one", code: "altered", reason: "a review (number 2): the signature is not of this seal and key" }];
    expect(take(into, out)).toMatchObject({ taken: 1, besides: 0, refused });
    const marked = [{ record: "one", what: "a review (number 2): the signature is not of this seal and key" }];
    expect(take(into, out, { takeAltered: true })).toMatchObject({ besides: 1, marked, refused: [] });
    expect(take(into, a.path)).toMatchObject({ already: 1, besides: 1 });
    expect(reviewsOf(into, "one")).toMatchObject([{ intact: true }]);
    into.close();
  });

  it("cannot write on in the archive's own chain, not even when told to be taken", async () => {
    const a = await crew("one", "two");
    const out = given(a.path, ["two"]);
    const [past, head] = [2 ** 51, (sql: string) => `update seals set number = ${2 ** 51}, head = cast(${sql} as blob)`];
    bend(out, head(`replace(cast(head as text), '"number":2', '"number":${past}')`));
    const refused = [{ record: "two", code: "own-chain", reason: "it claims to stand in this archive's own chain" }];
    reopened(a.path, (mine) => {
      mine.db.exec("delete from blocks where entry = 2; delete from seals where entry = 2; delete from ends where record = 2");
      mine.db.exec("delete from records where number = 2");
      expect(take(mine, out, { takeAltered: true })).toMatchObject({ taken: 0, refused });
      expect(chainHead(mine)).toMatchObject({ number: 1 });
    });
  });

  it("cannot stand in the archive's own chain by a key that never sealed there", async () => {
    const a = await crew("one");
    const into = office();
    bend(into.path, `update archive set id = '${a.archive.id}'`);
    into.close();
    const mine = openArchive(into.path, { mode: "write" });
    expect(take(mine, a.path)).toMatchObject({ taken: 0, refused: [{ record: "one", code: "own-chain" }] });
    expect([...sealedEntries(mine)]).toEqual([]);
    mine.close();
  });
});
