import { createPrivateKey, createPublicKey } from "node:crypto";
import { describe, expect, it } from "vitest";
import { fingerprintOf, hashOf, isSignedBy, NO_SEAL, newKey, publicKeyOf, sealOf, shortSeal, signSeal } from "../../src/evidence/seal.ts";

const hex = (text: string): Uint8Array => new Uint8Array(Buffer.from(text, "hex"));
const text = (words: string): Uint8Array => new TextEncoder().encode(words);

describe("what the seal is made of", () => {
  it("SHA-256 as in FIPS 180-2, appendix B.1: the three letters abc", () => {
    expect(Buffer.from(hashOf(text("abc"))).toString("hex")).toBe("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  });

  it("Ed25519 as in RFC 8032, 7.1, test 2: one byte, 72", () => {
    const secret = hex("4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb");
    // PKCS #8 of RFC 8410, 7: the algorithm and the 32 bytes of the secret.
    const privateKey = createPrivateKey({
      key: Buffer.concat([hex("302e020100300506032b657004220420"), secret]),
      format: "der",
      type: "pkcs8",
    });
    const publicDer = publicKeyOf(privateKey);
    expect(Buffer.from(publicDer.subarray(12)).toString("hex")).toBe("3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c");
    const signature = signSeal(hex("72"), privateKey);
    expect(Buffer.from(signature).toString("hex")).toBe(
      "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
    );
    expect(isSignedBy(hex("72"), signature, publicDer)).toBe(true);
    expect(isSignedBy(hex("73"), signature, publicDer)).toBe(false);
  });

  it("a key written in another way than the one its fingerprint is made of signs nothing", () => {
    const seal = hashOf(new Uint8Array(1));
    for (let n = 0; n < 20; n++) {
      const { privatePem, publicDer } = newKey();
      const signature = signSeal(seal, createPrivateKey(privatePem));
      // X.690, 8.6.2.2: byte 11 says how many bits of the last byte are unused; OpenSSL takes the key all the same when they are 0.
      const other = publicDer.map((byte, i) => (i === 11 ? 1 : byte));
      expect([isSignedBy(seal, signature, publicDer), isSignedBy(seal, signature, other)]).toEqual([true, false]);
    }
  });

  it("a signature has one form only: the same with the group's order added is none (RFC 8032, 5.1.7 and 8.4)", () => {
    const { privatePem, publicDer } = newKey();
    const seal = hashOf(new Uint8Array(1));
    const signature = signSeal(seal, createPrivateKey(privatePem));
    // L = 2^252 + 27742317777372353535851937790883648493 (RFC 8032, 5.1), little end first.
    const order = 2n ** 252n + 27742317777372353535851937790883648493n;
    const s = BigInt(`0x${Buffer.from(signature.subarray(32)).reverse().toString("hex")}`) + order;
    const other = Buffer.concat([signature.subarray(0, 32), Buffer.from(s.toString(16).padStart(64, "0"), "hex").reverse()]);
    expect([isSignedBy(seal, signature, publicDer), isSignedBy(seal, new Uint8Array(other), publicDer)]).toEqual([true, false]);
  });

  it("many keys in turn are each taken for themselves", () => {
    const seal = hashOf(new Uint8Array(1));
    const signed = Array.from({ length: 150 }, () => {
      const { privatePem, publicDer } = newKey();
      return { publicDer, signature: signSeal(seal, createPrivateKey(privatePem)) };
    });
    for (const { publicDer, signature } of [...signed, ...signed]) {
      expect(isSignedBy(seal, signature, publicDer)).toBe(true);
      expect(isSignedBy(seal, signature, signed.find((one) => one.publicDer !== publicDer)?.publicDer ?? publicDer)).toBe(false);
    }
  });

  it("a key or a signature that is none signs nothing", () => {
    const { publicDer } = newKey();
    expect(isSignedBy(NO_SEAL, new Uint8Array(64), publicDer)).toBe(false);
    expect(isSignedBy(NO_SEAL, new Uint8Array(3), publicDer)).toBe(false);
    expect(isSignedBy(NO_SEAL, new Uint8Array(64), text("no key"))).toBe(false);
  });
});

describe("a seal", () => {
  const sealed = { previous: NO_SEAL, head: text('{"a":1}'), blockHashes: [hashOf(text("one")), hashOf(text("two"))] };

  it("is the hash of its parts, laid out as drawn", () => {
    const parts = [text("staunch seal 1\0"), NO_SEAL, hex("0000000000000007"), sealed.head, ...sealed.blockHashes];
    expect(sealOf(sealed)).toEqual(hashOf(new Uint8Array(Buffer.concat(parts))));
  });

  it("changes with every part, and with their order", () => {
    const [one, two] = sealed.blockHashes;
    if (!one || !two) throw new Error("two blocks");
    const seals = [
      sealed,
      { ...sealed, previous: hashOf(text("other")) },
      { ...sealed, head: text('{"a":2}') },
      { ...sealed, blockHashes: [two, one] },
      { ...sealed, blockHashes: [one] },
    ].map((parts) => Buffer.from(sealOf(parts)).toString("hex"));
    expect(new Set(seals).size).toBe(5);
    expect(() => sealOf({ ...sealed, previous: new Uint8Array(31) })).toThrow(RangeError);
  });
});

describe("short forms for people", () => {
  it("a fingerprint is half of the key's hash, a seal's four groups of four without letters that are taken for one another", () => {
    const { publicDer, privatePem } = newKey();
    expect(fingerprintOf(publicDer)).toMatch(/^([0-9a-f]{4} ){7}[0-9a-f]{4}$/);
    expect(publicKeyOf(createPrivateKey(privatePem))).toEqual(publicDer);
    expect(createPublicKey(privatePem).asymmetricKeyType).toBe("ed25519");
    // 80 bits in 16 letters of 5: all ones are Z, 08 44 is 00001 00001 00010 0….
    expect(shortSeal(new Uint8Array(32).fill(255))).toBe("ZZZZ-ZZZZ-ZZZZ-ZZZZ");
    expect(shortSeal(hex(`0844${"00".repeat(30)}`))).toBe("1120-0000-0000-0000");
  });
});
