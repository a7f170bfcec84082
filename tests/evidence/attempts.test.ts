import { expect, it } from "vitest";
import { attemptsSince, attemptsTwice } from "../../src/evidence/attempts.ts";
import { chainFindings, type SealedEntry } from "../../src/evidence/chain.ts";
import { fingerprintOf, hashOf, NO_SEAL, newKey } from "../../src/evidence/seal.ts";

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
  expect(chainFindings(two)).toContainEqual({ kind: "attempts-missing", chain: "c2", after: 0, count: 2 });
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
  expect(chainFindings(chainWith([1, 2, 1, 2]))).toEqual([{ kind: "counter-set-back", chain: "c1", number: 3 }]);
  expect(chainFindings(chainWith([1, null, 1]))).toEqual([{ kind: "counter-set-back", chain: "c1", number: 3 }]);
});

it("a counter set back between two archives is told by the attempt that both claim", () => {
  const two = [...chainWith([1, 2, 3], "c1"), ...chainWith([3, 4], "c2")];
  expect(attemptsTwice(two)).toEqual([{ kind: "counter-set-back", chain: "c2", number: 1 }]);
  expect(attemptsTwice([...chainWith([1, 2], "c1"), ...chainWith([1, null], "c2", newKey().publicDer)])).toEqual([]);
});

it("attempts thrown away before the first record are told", () => {
  expect(chainFindings(chainWith([null, 3, 4]))).toEqual([{ kind: "attempts-missing", chain: "c1", after: 0, count: 2 }]);
  // Of a handover that begins at number 3, numbers 1 and 2 may have been those attempts.
  expect(chainFindings(chainWith([1, 2, 3]).slice(2))).toEqual([{ kind: "not-included", chain: "c1", from: 1, to: 2 }]);
});

it("attempts thrown away after the last record are told where the counter is", () => {
  const own = { key: fingerprintOf(key.publicDer), pending: [] };
  const two = [...chainWith([1, 2, null], "c1"), ...chainWith([4], "c2")];
  expect(attemptsSince("c1", two, { ...own, attempts: 2 })).toEqual([]);
  expect(attemptsSince("c1", two, { ...own, attempts: 6 })).toEqual([{ kind: "attempts-missing", chain: "c1", after: 2, count: 3 }]);
  expect(attemptsSince("c1", two, { ...own, pending: [6], attempts: 6 })).toMatchObject([{ count: 2 }]);
  expect(attemptsSince("c1", two, { ...own, attempts: 1 })).toEqual([{ kind: "counter-set-back", chain: "c1", number: 2 }]);
  expect(attemptsSince("c1", two, { ...own, key: "another", attempts: 6 })).toEqual([]);
  expect(attemptsSince("c3", two, { ...own, attempts: 6 })).toEqual([]);
});

it("what is not included is not told a second time as an attempt", () => {
  const cut = chainWith([1, 2, 3, 4]).filter(({ number }) => number !== 2 && number !== 3);
  expect(chainFindings(cut)).toEqual([{ kind: "not-included", chain: "c1", from: 2, to: 3 }]);
});

it("a hundred thousand entries take no more than a moment's work each", () => {
  const long = chainWith(Array.from({ length: 100_000 }, (_, i) => i + 1));
  expect(chainFindings(long)).toEqual([]);
});
