import { readFileSync } from "node:fs";
import fc from "fast-check";
import { computeNmeaChecksum, validNmeaChecksum } from "nmea-simple/dist/helpers.js";
import { describe, expect, test } from "vitest";
import { xdr } from "../../drivers/xdr.ts";
import { isStaunchError } from "../../src/core/errors.ts";
import { anyCuts, chopped, heardBy, wireBytes } from "../support/feed.ts";

interface Published {
  sentence: string;
  checksum: string;
  pressure_Pa: number | null;
}

const { sentences } = JSON.parse(readFileSync(new URL("../../fixtures/reference/nmea-xdr.json", import.meta.url), "utf8")) as {
  sentences: Published[];
};
const bytes = (text: string) => new TextEncoder().encode(text);
const read = (options: Record<string, string>, text: string) => heardBy(xdr.create(options), [bytes(text)]);
/** A sentence with the checksum an independent library works out. */
const sealed = (body: string) => `$${body}*${computeNmeaChecksum(`$${body}`).toString(16).toUpperCase().padStart(2, "0")}\r\n`;

describe("published sentences", () => {
  test.each(sentences)("$sentence", ({ sentence, pressure_Pa }) => {
    expect(validNmeaChecksum(sentence)).toBe(true);
    const { readings, unused } = read({}, `${sentence}\r\n`);
    // 1.02412 bar is 102412 Pa up to the last bit of a product.
    expect(readings.map((one) => Number(one.pressure_Pa?.toPrecision(12)))).toEqual(pressure_Pa === null ? [] : [pressure_Pa]);
    expect(unused).toBe(pressure_Pa === null ? sentence.length : 0);
  });
});

describe("checksum", () => {
  test("sentences are taken exactly when an independent library finds their checksum right", () => {
    fc.assert(
      fc.property(fc.integer({ min: -99_999, max: 99_999 }), fc.integer({ min: 0, max: 255 }), (value, sum) => {
        const sentence = `$YXXDR,P,${value},P,PIPE*${sum.toString(16).padStart(2, "0")}`;
        expect(read({}, `${sentence}\n`).readings.length === 1).toBe(validNmeaChecksum(sentence));
      }),
      { numRuns: 2000 },
    );
  });

  test("a missing checksum is refused unless the option accepts it; a wrong one always", () => {
    expect(read({}, "$YXXDR,P,5,P,A\r\n").readings).toEqual([]);
    expect(read({ missingChecksum: "accept" }, "$YXXDR,P,5,P,A\r\n").readings[0]?.pressure_Pa).toBe(5);
    expect(read({ missingChecksum: "accept" }, "$YXXDR,P,5,P,A*00\r\n").readings).toEqual([]);
    expect(read({ missingChecksum: "accept" }, "$YXXDR,P,5,P,A*\r\n").readings).toEqual([]);
  });
});

describe("which transducer", () => {
  const two = sealed("YXXDR,P,100,P,A,P,0.002,B,B,C,9.5,C,B");
  test.each([
    [{}, 100],
    [{ index: "2" }, 200],
    [{ name: "B" }, 200],
    [{ ambientName: "A" }, 200],
  ])("%j", (options, pressure_Pa) => expect(read(options, two).readings[0]?.pressure_Pa).toBeCloseTo(pressure_Pa, 9));

  test("a name nobody bears gives no reading", () =>
    expect(read({ name: "C" }, two)).toMatchObject({ readings: [], unused: two.length - 2 }));
  test("air and open air are found by name and type", () => {
    expect(read({ airName: "B", ambientName: "B", name: "A" }, two).readings[0]).toMatchObject({ air_C: 9.5, ambient_Pa: 200 });
  });
});

test("any chunking of the same bytes gives the same readings", () => {
  const wire = wireBytes([sealed("YXXDR,P,-1.5,P,PIPE"), "$YXXDR,P,1,P", sealed("WIXDR,P,1.0,B,"), "$", "*", "\u007f"]);
  fc.assert(
    fc.property(wire, anyCuts, (sent, cuts) => {
      const whole = heardBy(xdr.create({}), [sent]);
      expect(heardBy(xdr.create({}), chopped(sent, cuts))).toEqual(whole);
      expect(whole.unused).toBeLessThanOrEqual(sent.length);
    }),
    { numRuns: 500 },
  );
});

test("says what the pressure stands on", () => {
  expect(xdr.create({}).reference).toBe("vented");
  expect(xdr.create({ reference: "absolute" }).reference).toBe("absolute");
});

test.each([
  ["index", "0"],
  ["name", ""],
  ["reference", "gauge"],
  ["missingChecksum", "yes"],
])("%s=%j is refused by name", (name, value) => {
  try {
    xdr.create({ [name]: value });
    expect.unreachable();
  } catch (error) {
    expect(isStaunchError(error, "gauge-option") && error.exit).toBe(64);
    expect(String(error)).toContain(name);
  }
});
