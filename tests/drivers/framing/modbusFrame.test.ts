import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { withCrc16 } from "../../../drivers/framing/crc16.ts";
import { cutAnswer, exceptionName, type Question, questionFrame } from "../../../drivers/framing/modbusFrame.ts";

interface Reference {
  questions: (Question & { frame: string })[];
  exceptions: { codes: Record<string, string> };
}
const reference = JSON.parse(readFileSync(new URL("../../../fixtures/reference/modbus.json", import.meta.url), "utf8")) as Reference;
const bytesOf = (hex: string): Uint8Array => Uint8Array.from(hex.split(" "), (pair) => Number.parseInt(pair, 16));
const joined = (...parts: Uint8Array[]): Uint8Array => Uint8Array.from(parts.flatMap((part) => [...part]));

const TWO: Question = { address: 1, fn: 3, register: 0, count: 2 };
const ANSWER = withCrc16([1, 3, 4, 0x44, 0x7a, 0, 0]);

describe("questions", () => {
  it.each(reference.questions)("$frame as published", ({ frame, ...question }) => {
    expect(questionFrame(question)).toEqual(bytesOf(frame));
  });
});

describe("answers", () => {
  it("reads the specification's three registers as published with their CRC", () => {
    const { answer, unused, rest } = cutAnswer(bytesOf("11 03 06 02 2B 00 00 00 64 C8 BA"), { ...TWO, address: 17, count: 3 });
    expect(answer).toEqual({ kind: "registers", data: bytesOf("02 2B 00 00 00 64") });
    expect([unused, rest.length]).toEqual([0, 0]);
  });

  it("passes over answers of other gauges, other functions and other lengths", () => {
    for (const body of [
      [2, 3, 4, 0, 0, 0, 1],
      [1, 4, 4, 0, 0, 0, 1],
      [1, 3, 2, 0, 1],
      [2, 0x83, 2],
      [1, 0x84, 2],
    ])
      expect(cutAnswer(withCrc16(body), TWO)).toMatchObject({ answer: null, unused: body.length + 2 });
  });

  it("waits for the rest of a frame and holds no more than one", () => {
    for (let size = 1; size < ANSWER.length; size++)
      expect(cutAnswer(ANSWER.subarray(0, size), TWO)).toMatchObject({ answer: null, unused: 0, rest: ANSWER.subarray(0, size) });
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (bytes) => {
        const { unused, rest, answer } = cutAnswer(bytes, TWO);
        expect(answer === null ? unused + rest.length : bytes.length).toBe(bytes.length);
        if (answer === null) expect(rest.length).toBeLessThan(9);
      }),
    );
  });

  it("finds the answer behind any noise in front of it", () => {
    fc.assert(
      fc.property(fc.array(fc.constantFrom(0, 1, 3, 4, 0x83, 0x44, 0xff), { maxLength: 40 }), (noise) => {
        const { answer, unused } = cutAnswer(joined(Uint8Array.from(noise), ANSWER), TWO);
        expect(answer).toEqual({ kind: "registers", data: ANSWER.subarray(3, 7) });
        expect(unused).toBe(noise.length);
      }),
    );
  });
});

describe("exceptions", () => {
  it.each(Object.entries(reference.exceptions.codes))("code %s is %s", (code, words) => {
    const heard = cutAnswer(withCrc16([1, 0x83, Number(code)]), TWO).answer;
    expect(heard).toEqual({ kind: "exception", code: Number(code) });
    // Our words are shorter than the specification's; at least one long word of it is in them.
    const told = exceptionName(Number(code)).split("-");
    expect(words.split(" ").some((word) => word.length > 4 && told.includes(word))).toBe(true);
  });

  it("names what the specification does not", () => {
    expect(exceptionName(7)).toBe("exception-7");
  });
});
