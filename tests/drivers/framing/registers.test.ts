import fc from "fast-check";
import { expect, test } from "vitest";
import { type RegisterType, registersOf, registerValue, type WordOrder } from "../../../drivers/framing/registers.ts";

const bytesOf = (hex: string): Uint8Array => Uint8Array.from(hex.split(" "), (pair) => Number.parseInt(pair, 16));

// Two's complement and IEEE 754 by hand: 0x40490FDB is the binary32 next to pi, 0x00018BCD = 101325.
test.each<[string, RegisterType, WordOrder, number]>([
  ["FF FF", "int16", "ABCD", -1],
  ["80 00", "int16", "CDAB", -32_768],
  ["FF FE", "uint16", "ABCD", 65_534],
  ["00 01 8B CD", "uint32", "ABCD", 101_325],
  ["8B CD 00 01", "uint32", "CDAB", 101_325],
  ["FF FF FF FE", "uint32", "big", 4_294_967_294],
  ["FF FE FF FF", "int32", "little", -2],
  ["80 00 00 00", "int32", "big", -2_147_483_648],
  ["40 49 0F DB", "float32", "ABCD", Math.fround(Math.PI)],
  ["0F DB 40 49", "float32", "CDAB", Math.fround(Math.PI)],
  ["49 40 DB 0F", "float32", "BADC", Math.fround(Math.PI)],
  ["DB 0F 49 40", "float32", "DCBA", Math.fround(Math.PI)],
  ["FE FF", "int16", "DCBA", -2],
  ["C4 7A 00 00", "float32", "ABCD", -1000],
])("%s as %s %s is %d", (hex, type, order, value) => {
  expect(registerValue(bytesOf(hex), 0, type, order)).toBe(value);
});

test("numbers agree with Node's own buffers at any place", () => {
  fc.assert(
    fc.property(fc.uint8Array({ minLength: 8, maxLength: 8 }), fc.nat(2), (data, word) => {
      const buffer = Buffer.from(data);
      const at = 2 * word;
      expect(registerValue(data, at, "int32", "ABCD")).toBe(buffer.readInt32BE(at));
      expect(registerValue(data, at, "uint32", "ABCD")).toBe(buffer.readUInt32BE(at));
      expect(registerValue(data, at, "float32", "ABCD")).toBe(buffer.readFloatBE(at));
      expect(registerValue(data, at, "int16", "ABCD")).toBe(buffer.readInt16BE(at));
      expect(registerValue(data, at, "float32", "DCBA")).toBe(buffer.readFloatLE(at));
      expect(registerValue(data, at, "uint16", "BADC")).toBe(buffer.readUInt16LE(at));
    }),
  );
});

test("past the end there is no number", () => {
  const data = bytesOf("00 01 02 03");
  for (const type of ["int16", "uint16", "int32", "uint32", "float32"] as const) {
    expect(registerValue(data, 4 - 2 * registersOf(type) + 1, type, "ABCD")).toBeNaN();
    expect(registerValue(data, -2, type, "ABCD")).toBeNaN();
  }
});
