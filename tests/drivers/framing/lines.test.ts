import fc from "fast-check";
import { expect, test } from "vitest";
import { cutLines, noBytes, type Terminator } from "../../../drivers/framing/lines.ts";
import { anyCuts, chopped, wireBytes } from "../../support/feed.ts";

const bytes = (text: string) => new TextEncoder().encode(text);
const texts = (text: string, terminator: Terminator) => cutLines(noBytes, bytes(text), terminator, 100).lines.map((one) => one.text);

test.each<[Terminator, string, string[]]>([
  ["any", "a\rb\nc\r\nd", ["a", "b", "c"]],
  ["cr", "a\rb\nc\r\nd\r", ["a", "b\nc", "\nd"]],
  ["lf", "a\rb\nc\r\nd", ["a\rb", "c\r"]],
  ["crlf", "a\rb\nc\r\n\r\nd\r", ["a\rb\nc"]],
])("terminator %s cuts %j", (terminator, text, lines) => expect(texts(text, terminator)).toEqual(lines));

test("a degree sign is read from UTF-8 and from Latin-1 alike", () => {
  const utf8 = cutLines(noBytes, bytes("21 °C\n"), "any", 100).lines;
  const latin1 = cutLines(noBytes, Uint8Array.of(0x32, 0x31, 0x20, 0xb0, 0x43, 10), "any", 100).lines;
  expect([utf8[0]?.text, latin1[0]?.text]).toEqual(["21 °C", "21 °C"]);
});

test("a line without end is given up and never held longer than the bound", () => {
  let held = noBytes;
  let unused = 0;
  for (let i = 0; i < 1000; i++) {
    const cut = cutLines(held, bytes("0123456789"), "any", 64);
    ({ held } = cut);
    unused += cut.unused;
    expect(held.bytes.length).toBeLessThanOrEqual(64);
  }
  const last = cutLines(held, bytes("9\nok\n"), "any", 64);
  expect(unused + last.unused).toBe(10_001);
  expect(last.lines.map((one) => one.text)).toEqual(["ok"]);
});

test("a CR LF cut in the middle still ends a line that was given up", () => {
  const first = cutLines(noBytes, bytes("far too long\r"), "crlf", 4);
  const second = cutLines(first.held, bytes("\nok\r\n"), "crlf", 4);
  expect([first.unused + second.unused, second.lines.map((one) => one.text)]).toEqual([12, ["ok"]]);
  const exact = cutLines(noBytes, bytes("four\r"), "crlf", 4);
  expect(cutLines(exact.held, bytes("\n"), "crlf", 4).lines.map((one) => one.text)).toEqual(["four"]);
});

// Reference: String.split, for lines that fit.
test("LF lines are what split makes of the text", () => {
  fc.assert(
    fc.property(wireBytes(["12.5", " mbar"]), (wire) => {
      const expected = new TextDecoder("latin1").decode(wire.map((byte) => byte & 0x7f)).split("\n");
      const cut = cutLines(
        noBytes,
        wire.map((byte) => byte & 0x7f),
        "lf",
        10_000,
      );
      expect(cut.lines.map((one) => one.text)).toEqual(expected.slice(0, -1).filter((text) => text !== ""));
    }),
  );
});

test("any chunking gives the same lines, the same count and the same rest", () => {
  const terminator = fc.constantFrom<Terminator>("any", "cr", "lf", "crlf");
  fc.assert(
    fc.property(wireBytes(["100.2", "-----------"]), anyCuts, terminator, fc.integer({ min: 1, max: 30 }), (wire, cuts, end, longest) => {
      const whole = cutLines(noBytes, wire, end, longest);
      let held = noBytes;
      const lines = [];
      let unused = 0;
      for (const chunk of chopped(wire, cuts)) {
        const cut = cutLines(held, chunk, end, longest);
        ({ held } = cut);
        lines.push(...cut.lines);
        unused += cut.unused;
      }
      expect({ lines, unused, held }).toEqual({ lines: whole.lines, unused: whole.unused, held: whole.held });
    }),
    { numRuns: 500 },
  );
});
