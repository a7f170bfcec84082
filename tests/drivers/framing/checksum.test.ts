import fc from "fast-check";
import { expect, test } from "vitest";
import { CHECKSUM_PLACES, CHECKSUMS, checkedLength } from "../../../drivers/framing/checksum.ts";

const bytes = (text: string) => new TextEncoder().encode(text);

test.each([
  // Published: README of an open barometer project; the tests of an open NMEA library.
  ["xor", "star", "$WIXDR,C,24.59,C,TEMP,P,1.02412,B,BARO*5E", 38],
  ["xor", "star", "$SDXDR,C,23.15,C,WTHI*70 ", 21],
  // The catalogue's check value of CRC-16/MODBUS.
  ["crc16", "star", "123456789*4B37", 9],
  ["crc16", "end", "1234567894b37", 9],
  // 0x31 + 0x32 + 0x33 = 0x96; 0x31 ^ 0x32 ^ 0x33 = 0x30: by hand.
  ["sum", "end", "12396", 3],
  ["xor", "end", "12330", 3],
  ["sum", "star", "123*96", 3],
  ["none", "star", "123", 3],
] as const)("%s %s %s is right", (kind, place, text, length) => expect(checkedLength(bytes(text), kind, place)).toBe(length));

test.each([
  ["xor", "star", "$WIXDR,C,24.59,C,TEMP,P,1.02412,B,BARO*5F"],
  ["xor", "star", "$WIXDR,C,24.59,C,TEMP,P,1.02412,B,BARO"],
  ["xor", "star", "*5E"],
  ["xor", "star", "*"],
  ["xor", "star", ""],
  ["xor", "end", "30"],
  ["xor", "end", "1233"],
  ["sum", "end", "123G6"],
  ["sum", "end", "123+6"],
  ["crc16", "end", "4b37"],
] as const)("%s %s %j is wrong or missing", (kind, place, text) => expect(checkedLength(bytes(text), kind, place)).toBeNull());

test("one bit turned over is always seen", () => {
  const kinds = fc.constantFrom(...CHECKSUMS.filter((kind) => kind !== "none"));
  const texts = fc.string({ unit: "binary-ascii", minLength: 1, maxLength: 30 }).filter((text) => !/[$!]/.test(text));
  fc.assert(
    fc.property(
      kinds,
      fc.constantFrom(...CHECKSUM_PLACES),
      texts,
      fc.nat(),
      fc.integer({ min: 0, max: 6 }),
      (kind, place, text, at, bit) => {
        const digits = kind === "crc16" ? 4 : 2;
        const sums = Array.from({ length: 16 ** digits }, (_, sum) => sum.toString(16).padStart(digits, "0"));
        const sealed = sums
          .map((sum) => bytes(text + (place === "star" ? "*" : "") + sum))
          .find((one) => checkedLength(one, kind, place) !== null);
        if (sealed === undefined) return expect.unreachable();
        const spot = at % bytes(text).length;
        const broken = sealed.slice();
        broken[spot] = (broken[spot] ?? 0) ^ (1 << bit);
        if (broken[spot] !== 0x24 && broken[spot] !== 0x21) expect(checkedLength(broken, kind, place)).toBeNull();
      },
    ),
    { numRuns: 40 },
  );
});
