import { deflateRawSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { journalColumns } from "../../src/evidence/journalColumns.ts";
import { hashOf } from "../../src/evidence/seal.ts";
import { type BlockClaim, checkClaims, packJournal, unpackBlock } from "../../src/storage/pack.ts";
import { bytesIn, everyKind } from "../support/records.ts";

const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString("hex");
const claimOf = (bytes: Uint8Array, over: Partial<BlockClaim> = {}): BlockClaim => ({
  sha256: hex(hashOf(bytes)),
  events: 10,
  bytes: 1,
  ...over,
});

describe("a journal in blocks", () => {
  it("comes back block by block", () => {
    const events = [...everyKind()];
    const [block, ...more] = packJournal(events);
    if (block === undefined) throw new Error("no block");
    expect(more).toEqual([]);
    expect(unpackBlock(block.bytes, { sha256: hex(block.hash), events: block.events, bytes: block.unpacked })).toEqual(events);
    expect(packJournal([])).toEqual([]);
  });

  it("is cut where a block grows large, and refused when one event alone is", () => {
    const large = (seq: number, size: number) => ({ ...bytesIn(seq, seq), bytes: new Uint8Array(size) });
    expect(packJournal([0, 1, 2].map((seq) => large(seq, 200_000))).map(({ events }) => events)).toEqual([2, 1]);
    expect(() => packJournal([large(0, 5_000_000)])).toThrow(RangeError);
  });
});

describe("a stranger's block", () => {
  const bomb = new Uint8Array(deflateRawSync(new Uint8Array(64 * 1024 * 1024), { level: 9 }));

  it("that would unpack to more than it claims is never unpacked", () => {
    expect(bomb.length).toBeLessThan(100_000);
    expect(() => unpackBlock(bomb, claimOf(bomb, { bytes: 1000 }))).toThrow(/larger than/);
    expect(() => unpackBlock(bomb, claimOf(bomb, { bytes: 64 * 1024 * 1024 }))).toThrow(RangeError);
  });

  it("with another hash, size or count is refused", () => {
    const columns = journalColumns(everyKind());
    const bytes = new Uint8Array(deflateRawSync(columns));
    const good = claimOf(bytes, { bytes: columns.length });
    expect(unpackBlock(bytes, good).length).toBe(10);
    expect(() => unpackBlock(bytes, { ...good, sha256: hex(new Uint8Array(32)) })).toThrow(RangeError);
    expect(() => unpackBlock(bytes, { ...good, events: 9 })).toThrow(RangeError);
    expect(() => unpackBlock(bytes, { ...good, bytes: columns.length + 1 })).toThrow(RangeError);
    expect(() => unpackBlock(bytes, { ...good, bytes: 0 })).toThrow(RangeError);
  });

  it("among many that claim too much together is not begun with", () => {
    const claim = { sha256: "", events: 1, bytes: 4 * 1024 * 1024 };
    expect(() => checkClaims(Array.from({ length: 200 }, () => claim))).toThrow(RangeError);
    expect(() => checkClaims([claim])).not.toThrow();
  });
});
