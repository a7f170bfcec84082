import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { counted, plainJson, plainText } from "../../src/core/text.ts";

// Escape sequences from ECMA-48 (5th edition) §5.4 (CSI), §5.6 (control strings); Unicode marks by their code points.
const rows: [what: string, outside: string, shown: string][] = [
  ["leaves ordinary text alone", "Elderbrook S3-S4", "Elderbrook S3-S4"],
  ["leaves other scripts alone", "Übergabe – 管 № 7, façade", "Übergabe – 管 № 7, façade"],
  ["takes out a colour", "a\u001b[31mred\u001b[0mb", "aredb"],
  ["takes out clearing the screen", "\u001b[2J\u001b[Hx", "x"],
  ["takes out a window title", "\u001b]0;owned\u0007x", "x"],
  ["takes out a hyperlink", "\u001b]8;;http://a.example\u001b\\link\u001b]8;;\u001b\\", "link"],
  ["takes out a device control string", "\u001bPq#0;2\u001b\\x", "x"],
  ["takes out an unfinished string sequence with what it hid", "x\u001b]52;c;cm0gLXJm", "x"],
  ["takes out a full reset", "\u001bcx", "x"],
  ["takes out the 8-bit CSI", "a\u009b31mb", "ab"],
  ["takes out a lone escape", "a\u001b", "a"],
  ["takes out bell, backspace and delete", "a\u0007\u0008\u007fb", "ab"],
  ["makes one line of many", "a\r\nb\tc\u2028d", "a b c d"],
  ["takes out bidirectional controls", "S3\u202e4S\u2066x\u2069\u200f", "S34Sx"],
  ["takes out what has no width", "pa\u200bss\ufeff\u00ad", "pass"],
  ["takes out tag characters", "a\u{e0041}\u{e007f}b", "ab"],
  ["takes out half of a surrogate pair", "a\ud800b", "ab"],
  ["thins out marks piled on a letter", `a${"\u0301".repeat(40)}b`, "a\u0301\u0301\u0301b"],
  ["is empty when nothing is left", "\u001b[31m\u0000", ""],
];

describe("plainText", () => {
  for (const [what, outside, shown] of rows) it(what, () => expect(plainText(outside)).toBe(shown));

  it("shortens, and says so", () => {
    expect(plainText("abcdefgh", 5)).toBe("abcd…");
    expect(plainText("abcde", 5)).toBe("abcde");
    expect(plainText("管".repeat(9), 3)).toBe("管管…");
  });

  it("lets no control or hidden character through and keeps to its length, whatever comes", () => {
    fc.assert(
      fc.property(fc.string({ unit: "binary", maxLength: 400 }), fc.integer({ min: 1, max: 50 }), (outside, longest) => {
        const shown = plainText(outside, longest);
        expect(shown).not.toMatch(/[\p{Cc}\p{Cf}\p{Cs}\u2028\u2029]/u);
        expect(Array.from(shown).length).toBeLessThanOrEqual(longest);
      }),
    );
  });

  it("is not slowed by a megabyte of escapes", () => {
    expect(plainText("\u001b[".repeat(500_000)).length).toBeLessThanOrEqual(200);
  });
});

describe("plainJson", () => {
  it("says the same as JSON, in characters that can be shown", () => {
    fc.assert(
      fc.property(fc.jsonValue({ stringUnit: "binary" }), (value) => {
        const line = plainJson(value);
        expect(JSON.parse(line)).toEqual(JSON.parse(JSON.stringify(value)));
        expect(line).not.toMatch(/[\p{Cc}\p{Cf}\u2028\u2029]/u);
      }),
    );
  });

  it("escapes what would turn a terminal's head", () => {
    expect(plainJson("a\u009b2J\u202eb\u{e0041}")).toBe('"a\\u009b2J\\u202eb\\udb40\\udc41"');
  });
});

describe("counted", () => {
  it("says one of a thing otherwise than none or many", () => {
    expect([0, 1, 2].map((n) => counted(n, "record"))).toEqual(["0 records", "1 record", "2 records"]);
    expect(counted(2, "it is", "they are")).toBe("2 they are");
  });
});
