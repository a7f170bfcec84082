import { readFileSync } from "node:fs";
import fc from "fast-check";
import { expect, test } from "vitest";
import { crc16, withCrc16 } from "../../../drivers/framing/crc16.ts";

interface Reference {
  check: { ascii: string; crc: string };
  frames: { frame: string }[];
}
const reference = JSON.parse(readFileSync(new URL("../../../fixtures/reference/modbus.json", import.meta.url), "utf8")) as Reference;
const bytesOf = (hex: string): Uint8Array => Uint8Array.from(hex.split(" "), (pair) => Number.parseInt(pair, 16));

test("the published check value", () => {
  expect(crc16(new TextEncoder().encode(reference.check.ascii))).toBe(Number.parseInt(reference.check.crc, 16));
});

test.each(reference.frames)("published frame $frame", ({ frame }) => {
  const bytes = bytesOf(frame);
  expect(withCrc16([...bytes.subarray(0, -2)])).toEqual(bytes);
  expect(crc16(bytes)).toBe(0);
});

test("any one or two bits turned are noticed", () => {
  const bits = fc.uniqueArray(fc.nat(255), { minLength: 1, maxLength: 2 });
  fc.assert(
    fc.property(fc.uint8Array({ minLength: 30, maxLength: 30 }), bits, (body, turned) => {
      const frame = withCrc16([...body]);
      for (const bit of turned) frame[bit >> 3] = (frame[bit >> 3] ?? 0) ^ (1 << (bit & 7));
      expect(crc16(frame)).not.toBe(0);
    }),
  );
});

test("a part is checked as if it stood alone", () => {
  const bytes = bytesOf("AA 01 04 02 FF FF B8 80 BB");
  expect(crc16(bytes, 1, 8)).toBe(0);
  expect(crc16(bytes, 1, 6)).toBe(crc16(bytes.subarray(1, 6)));
});
