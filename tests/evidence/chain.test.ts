import { createPrivateKey } from "node:crypto";
import { describe, expect, it } from "vitest";
import { chainFindings, type SealedEntry, standingOf } from "../../src/evidence/chain.ts";
import { fingerprintOf, hashOf, NO_SEAL, newKey, sealOf, signSeal } from "../../src/evidence/seal.ts";

const text = (words: string): Uint8Array => new TextEncoder().encode(words);

function chainOf(length: number, key = newKey(), chain = "c1", attempts = (n: number): number | null => n): SealedEntry[] {
  let previous = NO_SEAL;
  return Array.from({ length }, (_, i) => {
    const head = text(`{"chain":"${chain}","record":${i + 1}}`);
    const blocks = [`first of ${i}`, `second of ${i}`].map(text).map((bytes) => ({ bytes, hash: hashOf(bytes) }));
    const seal = sealOf({ previous, head, blockHashes: blocks.map((b) => b.hash) });
    const signature = signSeal(seal, createPrivateKey(key.privatePem));
    const entry = { chain, number: i + 1, previous, seal, signature, publicDer: key.publicDer, head, blocks, attempt: attempts(i + 1) };
    previous = seal;
    return entry;
  });
}

/** Every sealed byte of an entry, one flipped at a time. */
function flips(entry: SealedEntry): SealedEntry[] {
  const flipped = (bytes: Uint8Array): Uint8Array[] => Array.from(bytes, (_, i) => bytes.map((byte, k) => (k === i ? byte ^ 1 : byte)));
  return [
    ...flipped(entry.previous).map((previous) => ({ ...entry, previous })),
    ...flipped(entry.seal).map((seal) => ({ ...entry, seal })),
    ...flipped(entry.signature).map((signature) => ({ ...entry, signature })),
    ...flipped(entry.publicDer).map((publicDer) => ({ ...entry, publicDer })),
    ...flipped(entry.head).map((head) => ({ ...entry, head })),
    ...entry.blocks.flatMap((block, i) =>
      [...flipped(block.bytes).map((bytes) => ({ ...block, bytes })), ...flipped(block.hash).map((hash) => ({ ...block, hash }))].map(
        (bent) => ({
          ...entry,
          blocks: entry.blocks.map((b, k) => (k === i ? bent : b)),
        }),
      ),
    ),
  ];
}

describe("one sealed entry", () => {
  it("is intact as sealed, and altered with any single bit of any column changed", () => {
    const key = newKey();
    const [entry] = chainOf(1, key);
    if (!entry) throw new Error("no entry");
    const trusted = new Set([fingerprintOf(key.publicDer)]);
    expect(standingOf(entry, trusted)).toEqual({ standing: "intact" });
    const bent = flips(entry);
    expect(bent.length).toBeGreaterThan(250);
    expect(bent.filter((one) => standingOf(one, trusted).standing !== "altered")).toEqual([]);
  });

  it("names the first block that differs", () => {
    const [entry] = chainOf(1);
    if (!entry) throw new Error("no entry");
    const blocks = entry.blocks.map((b, i) => (i === 1 ? { ...b, bytes: text("something else") } : b));
    expect(standingOf({ ...entry, blocks }, null)).toMatchObject({ standing: "altered", block: 2 });
    expect(standingOf({ ...entry, blocks: [...entry.blocks].reverse() }, null)).toMatchObject({ standing: "altered", block: null });
    expect(standingOf({ ...entry, blocks: entry.blocks.slice(1) }, null)).toMatchObject({ standing: "altered" });
  });

  it("of a key that is not trusted says whose it is", () => {
    const [entry] = chainOf(1);
    if (!entry) throw new Error("no entry");
    expect(standingOf(entry, new Set())).toEqual({ standing: "unknown-key", fingerprint: fingerprintOf(entry.publicDer) });
    expect(standingOf(entry, null)).toEqual({ standing: "intact" });
  });
});

describe("a chain", () => {
  it("that is whole has nothing to tell, in any order and mixed with another", () => {
    const mixed = [...chainOf(4, newKey(), "c1"), ...chainOf(3, newKey(), "c2")].reverse();
    expect(chainFindings(mixed)).toEqual([]);
  });

  it("tells what was cut out of its middle or its beginning; a tail cut off it cannot tell", () => {
    const chain = chainOf(6);
    expect(chainFindings(chain.filter((e) => e.number !== 3 && e.number !== 4))).toMatchObject([{ kind: "not-included", from: 3, to: 4 }]);
    expect(chainFindings(chain.slice(2))).toMatchObject([{ kind: "not-included", from: 1, to: 2 }]);
    expect(chainFindings(chain.slice(0, 4))).toEqual([]);
  });

  it("tells twins at one place, and an entry that does not stand on the one before it", () => {
    const key = newKey();
    const [one, two] = chainOf(2, key);
    const other = chainOf(3, newKey(), "c9");
    if (!one || !two || !other[1]) throw new Error("no entries");
    expect(chainFindings([one, two, { ...other[1], chain: "c1" }])).toContainEqual({ kind: "forked", chain: "c1", number: 2 });
    expect(chainFindings([one, { ...other[1], chain: "c1" }])).toContainEqual({ kind: "forked", chain: "c1", number: 2 });
  });

  it("tells attempts that left no record", () => {
    const holes = chainOf(3, newKey(), "c1", (n) => (n < 3 ? n : 6));
    expect(chainFindings(holes)).toEqual([{ kind: "attempts-missing", chain: "c1", after: 2, count: 3 }]);
    expect(chainFindings(chainOf(3, newKey(), "c1", () => null))).toEqual([]);
  });
});
