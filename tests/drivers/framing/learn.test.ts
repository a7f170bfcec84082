import fc from "fast-check";
import { computeNmeaChecksum } from "nmea-simple/dist/helpers.js";
import { describe, expect, test } from "vitest";
import type { HeardChunk } from "../../../drivers/framing/hearing.ts";
import { type Learned, learn } from "../../../drivers/framing/learn.ts";
import { line } from "../../../drivers/line.ts";

const latin1 = (text: string): Uint8Array => Uint8Array.from(text, (letter) => letter.charCodeAt(0));

/** Each line in two pieces, ten lines a second, the first cut short as when somebody begins to listen. */
function heard(lines: readonly string[], end = "\r\n"): HeardChunk[] {
  const chunks = lines.flatMap((text, i) => {
    const bytes = latin1(text + end);
    const half = bytes.length >> 1;
    return [
      { at_ms: 1000 + 100 * i, bytes: bytes.subarray(0, half) },
      { at_ms: 1004 + 100 * i, bytes: bytes.subarray(half) },
    ];
  });
  return [{ at_ms: 900, bytes: latin1((lines[0] ?? "").slice(3) + end) }, ...chunks];
}

const series = (make: (i: number) => string): string[] => Array.from({ length: 30 }, (_, i) => make(i));
/** Falls, stands, rises: no counter. */
const pressure = (i: number): number => 100 - 0.1 * i + 0.3 * Math.sin(i);
const comma = (value: number, digits: number): string => value.toFixed(digits).replace(".", ",");

function proposed(lines: readonly string[], end?: string): Extract<Learned, { kind: "line" }> {
  const learned = learn(heard(lines, end));
  if (learned.kind !== "line") throw new Error(`heard as ${learned.kind}`);
  // What is proposed must be read by the driver, all lines of it.
  const driver = line.create({ unit: "Pa", ...learned.options });
  const { readings } = driver.next(driver.start(), { kind: "bytes", at_ms: 0, bytes: latin1(lines.join(end ?? "\r\n") + (end ?? "\r\n")) });
  expect(readings.length).toBe(lines.length);
  return learned;
}

describe("lines that gauges print", () => {
  test("a figure and its unit", () => {
    const learned = proposed(series((i) => `${pressure(i).toFixed(1)} mbar`));
    expect(learned).toMatchObject({ options: { terminator: "crlf" }, unit: "mbar", confidence: "good", share: 1, lastDigit: 0.1 });
    expect(learned.rate_Hz).toBeCloseTo(10, 0);
    expect(learned.lines).toHaveLength(5);
  });

  test("fixed width with blanks, ended by CR, no unit: one has to be told", () => {
    const learned = proposed(
      series((i) => `+ ${pressure(i).toFixed(2).padStart(7)}`),
      "\r",
    );
    expect(learned).toMatchObject({ options: { terminator: "cr" }, unit: null, confidence: "fair", lastDigit: 0.01 });
    expect(learned.because.join(" ")).toContain("unit=");
  });

  test("time, decimal comma, unit in a field, air, atmosphere", () => {
    const learned = proposed(
      series((i) => `12:04:${10 + i};${comma(pressure(i), 2)};mbar;${comma(17 + i / 10, 1)} \u00b0C;1013,${i} hPa`),
      "\n",
    );
    expect(learned.options).toEqual({
      terminator: "lf",
      separator: "semicolon",
      decimal: "comma",
      field: "2",
      unitField: "3",
      airField: "4",
      ambientField: "5",
      ambientUnit: "hPa",
    });
    expect(learned.confidence).toBe("good");
  });

  test("a counter, the figure, a temperature without and with its unit in the next field", () => {
    const learned = proposed(series((i) => `${i + 7},${pressure(i).toFixed(3)},kPa,${(17.1 + i / 50).toFixed(2)},C`));
    expect(learned.options).toMatchObject({ separator: "comma", field: "2", unitField: "3", airField: "4" });
  });

  test("a label before the figure, parted by a blank or an equals sign", () => {
    expect(proposed(series((i) => `P ${pressure(i).toFixed(1)} Pa`)).options).toMatchObject({
      separator: "space",
      field: "2",
      unitField: "3",
    });
    expect(proposed(series((i) => `P=${pressure(i).toFixed(1)} Pa`)).options).toMatchObject({ separator: "=", field: "2" });
  });

  test("a sign in a field of its own", () => {
    const learned = proposed(series((i) => `${i % 7 === 0 ? "+" : "-"};${pressure(i).toFixed(1)};mbar`));
    expect(learned.options).toMatchObject({ signField: "1", field: "2", unitField: "3" });
  });

  test("exclusive-or after a star, as an independent library works it out", () => {
    const sealed = series((i) => {
      const body = `$PGA,${pressure(i).toFixed(1)},mbar`;
      return `${body}*${computeNmeaChecksum(body).toString(16).padStart(2, "0")}`;
    });
    expect(proposed(sealed).options).toMatchObject({ checksum: "xor", checksumPlace: "star", field: "2", unitField: "3" });
  });

  test("figures near the atmosphere's pressure: the sensor seems absolute", () => {
    const learned = proposed(series((i) => `${(1013 + 0.01 * Math.sin(i)).toFixed(2)} hPa`));
    expect(learned.options["reference"]).toBe("absolute");
    expect(learned.because.join(" ")).toContain("seems absolute");
  });

  test("two columns that could be the pressure: said, and not called good", () => {
    const learned = proposed(series((i) => `${pressure(i).toFixed(1)} mbar;${(2 * pressure(i)).toFixed(1)} mbar`));
    expect(learned.options["field"]).toBe("1");
    expect(learned.confidence).toBe("fair");
    expect(learned.because.join(" ")).toContain("Field 2 could be the pressure as well");
  });

  test("one comma a line is a decimal sign, with a warning", () => {
    const learned = proposed(series((i) => `${comma(pressure(i), 1)} mbar`));
    expect(learned).toMatchObject({ options: { decimal: "comma" }, confidence: "fair" });
  });

  test("words in place of a figure now and then do not hide the rest", () => {
    const learned = proposed(series((i) => (i % 10 === 4 ? "OL" : `${pressure(i).toFixed(1)} mbar`)));
    expect(learned).toMatchObject({ unit: "mbar", confidence: "good" });
  });

  test("the smallest step is seen where it is coarser than the last digit", () => {
    const learned = proposed(series((i) => `${(Math.round(pressure(i) * 2) / 2).toFixed(2)} mbar`));
    expect(learned).toMatchObject({ lastDigit: 0.01, smallestStep: 0.5 });
  });
});

describe("what is no lines of figures", () => {
  test("nothing at all: silent", () => expect(learn([]).kind).toBe("silent"));
  test("sentences of NMEA 0183 have a protocol of their own", () => {
    // Printed in the README of an open barometer project.
    const learned = learn(heard(series(() => "$WIXDR,C,24.59,C,TEMP,P,1.02412,B,BARO*5E")));
    expect(learned).toMatchObject({ kind: "xdr", names: ["BARO"], checksums: true });
  });
  test("a published Modbus frame is known by its CRC, in pieces too", () => {
    const frame = Uint8Array.of(0x01, 0x04, 0x02, 0xff, 0xff, 0xb8, 0x80);
    expect(learn([{ at_ms: 1, bytes: frame }])).toMatchObject({ kind: "binary", modbus: true });
    const pieces = [
      { at_ms: 0, bytes: Uint8Array.of(0x80, 0xff) },
      { at_ms: 100, bytes: frame.subarray(0, 3) },
      { at_ms: 103, bytes: frame.subarray(3) },
    ];
    expect(learn(pieces)).toMatchObject({ kind: "binary", modbus: true });
  });
  test("text at the wrong speed looks binary, not Modbus", () => {
    const garbled = series((i) => String.fromCharCode(0x80 + i, 0xe0, 0x1c + (i % 3), 0xf8, 0x06));
    expect(learn([{ at_ms: 0, bytes: latin1(garbled.join("")) }])).toMatchObject({ kind: "binary", modbus: false });
  });
  test("text without an end of line", () => expect(learn([{ at_ms: 0, bytes: latin1("100.2 mbar 100.3 mbar") }]).kind).toBe("no-lines"));
  test("text without figures", () => expect(learn(heard(series(() => "ready, waiting"))).kind).toBe("no-figures"));
});

test("whatever is heard, a lesson is drawn, and one that is proposed is one the driver takes", () => {
  const lines = fc.array(fc.oneof(fc.string({ unit: "binary-ascii" }), fc.stringMatching(/^[-+0-9.,;:= barhPmC%*]{0,20}$/)), {
    maxLength: 12,
  });
  fc.assert(
    fc.property(lines, fc.constantFrom("\r\n", "\r", "\n", ""), (texts, end) => {
      const learned = learn(heard(texts, end));
      if (learned.kind === "line") expect(line.create({ unit: "Pa", ...learned.options }).protocol).toBe("line");
    }),
    { numRuns: 2000 },
  );
});
