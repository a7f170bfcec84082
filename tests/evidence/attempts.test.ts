import { expect, it } from "vitest";
import { chainFindings, type SealedEntry } from "../../src/evidence/chain.ts";
import { hashOf, NO_SEAL, newKey } from "../../src/evidence/seal.ts";

const key = newKey();

/** Entries that stand on one another, with these attempts. */
function chainWith(attempts: readonly (number | null)[], chain = "c1", publicDer = key.publicDer): SealedEntry[] {
  let previous = NO_SEAL;
  return attempts.map((attempt, i) => {
    const seal = hashOf(new TextEncoder().encode(`${chain} ${i}`));
    const entry = { chain, number: i + 1, previous, seal, signature: seal, publicDer, head: seal, blocks: [], attempt };
    previous = seal;
    return entry;
  });
}

it("attempts that stand in another archive of the same key are not missing", () => {
  const [one, two] = [chainWith([1, 2, 6], "c1"), chainWith([3, 5], "c2")];
  expect(chainFindings(one)).toEqual([{ kind: "attempts-missing", chain: "c1", after: 2, count: 3 }]);
  expect(chainFindings([...one, ...two])).toEqual([
    { kind: "attempts-missing", chain: "c1", after: 2, count: 1 },
    { kind: "attempts-missing", chain: "c2", after: 1, count: 1 },
  ]);
});

it("each key counts for itself", () => {
  const other = newKey().publicDer;
  const mixed = chainWith([1, 1, 2, 2]).map((entry, i) => (i % 2 === 0 ? entry : { ...entry, publicDer: other }));
  expect(chainFindings(mixed)).toEqual([]);
});

it("a counter set back is told", () => {
  expect(chainFindings(chainWith([5, 6, 1, 2]))).toEqual([{ kind: "counter-set-back", chain: "c1", number: 3 }]);
  expect(chainFindings(chainWith([5, null, 5]))).toEqual([{ kind: "counter-set-back", chain: "c1", number: 3 }]);
});

it("what is not included is not told a second time as an attempt", () => {
  const cut = chainWith([1, 2, 3, 4]).filter(({ number }) => number !== 2 && number !== 3);
  expect(chainFindings(cut)).toEqual([{ kind: "not-included", chain: "c1", from: 2, to: 3 }]);
});

it("a hundred thousand entries take no more than a moment's work each", () => {
  const long = chainWith(Array.from({ length: 100_000 }, (_, i) => i + 1));
  expect(chainFindings(long)).toEqual([]);
});
