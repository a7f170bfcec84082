import fc from "fast-check";
import { describe, expect, it, test } from "vitest";
import { withCrc16 } from "../../drivers/framing/crc16.ts";
import { modbus } from "../../drivers/modbus.ts";
import type { Reading } from "../../src/core/driver.ts";
import { isStaunchError } from "../../src/core/errors.ts";
import { anyCuts, chopped, heardBy } from "../support/feed.ts";

const GIVEN = { register: "0", type: "float32", unit: "Pa", interval: "10" };
const ANSWER = withCrc16([1, 3, 4, 0x44, 0x7a, 0, 0]);
const BUSY = withCrc16([1, 0x83, 6]);
const gauge = (options: Record<string, string> = {}) => modbus.create({ ...GIVEN, ...options });

/** What wires carry: whole answers, refusals, their pieces, and noise that looks like them. */
const wire = fc
  .array(
    fc.oneof(
      { weight: 3, arbitrary: fc.constantFrom(ANSWER, BUSY) },
      fc.constantFrom(ANSWER.subarray(0, 5), ANSWER.subarray(4), BUSY.subarray(2), withCrc16([2, 3, 4, 0, 0, 0, 0])),
      fc.uint8Array({ maxLength: 12 }),
    ),
    { maxLength: 30 },
  )
  .map((parts) => Uint8Array.from(parts.flatMap((part) => [...part])));

test("any chunking of the same bytes gives the same readings", () => {
  fc.assert(
    fc.property(wire, anyCuts, (sent, cuts) => {
      expect(heardBy(gauge(), chopped(sent, cuts))).toEqual(heardBy(gauge(), [sent]));
    }),
    { numRuns: 500 },
  );
});

/** Bytes of the answer a reading was made of: refusals are shorter than answers, even those whose float is no number. */
const sizeOf = ({ status }: Reading): number => (status === undefined || /^(not-a-number|overload)$/.test(status) ? 9 : 5);

test("random bytes, at any time, never throw, and little is held", () => {
  const happening = fc.record({ after_ms: fc.nat(700), bytes: fc.oneof(fc.uint8Array({ maxLength: 40 }), wire) });
  fc.assert(
    fc.property(fc.array(happening, { maxLength: 40 }), (happenings) => {
      const driver = gauge();
      let state = driver.next(driver.start(), { kind: "opened", at_ms: 0 }).state;
      let at_ms = 0;
      let came = 0;
      let counted = 0;
      for (const { after_ms, bytes } of happenings) {
        at_ms += after_ms;
        const step = driver.next(state, { kind: "bytes", at_ms, bytes });
        state = step.state;
        came += bytes.length;
        counted += step.unused + step.readings.reduce((sum, one) => sum + sizeOf(one), 0);
      }
      // Each byte was an answer's, or is counted, or is still held: at most the beginning of one answer.
      const held = driver.next(state, { kind: "opened", at_ms }).unused;
      expect(held).toBeLessThan(ANSWER.length);
      expect(counted + held).toBe(came);
    }),
  );
});

/** Noise of the bytes that answers begin with. */
const lookAlike = fc.array(fc.constantFrom(1, 3, 4, 0x83, 0x44), { maxLength: 60 }).map((bytes) => Uint8Array.from(bytes));

test("after any noise the next exchange is read: in step again within one answer", () => {
  fc.assert(
    fc.property(fc.oneof(fc.uint8Array({ maxLength: 60 }), lookAlike), (noise) => {
      const driver = gauge();
      const opened = driver.next(driver.start(), { kind: "opened", at_ms: 0 });
      const noisy = driver.next(opened.state, { kind: "bytes", at_ms: 3, bytes: noise });
      const asked = driver.next(noisy.state, { kind: "wake", at_ms: 1000 });
      expect(asked.send).toHaveLength(1);
      const step = driver.next(asked.state, { kind: "bytes", at_ms: 1005, bytes: ANSWER });
      expect(step.readings.map((one) => one.pressure_Pa)).toEqual([1000]);
    }),
  );
});

test("a mute gauge is asked again after each time-out, one question at a time", () => {
  const driver = gauge({ timeout: "200" });
  let step = driver.next(driver.start(), { kind: "opened", at_ms: 0 });
  const asked: number[] = [];
  for (let at_ms = 0; at_ms <= 1000; at_ms += 50) {
    if (at_ms > 0) step = driver.next(step.state, { kind: "wake", at_ms });
    for (const _ of step.send) asked.push(at_ms);
  }
  expect(asked).toEqual([0, 200, 400, 600, 800, 1000]);
});

describe("options", () => {
  it.each([
    ["register", "65536"],
    ["register", "-1"],
    ["type", "float64"],
    ["unit", "volt"],
    ["address", "0"],
    ["address", "248"],
    ["function", "6"],
    ["order", "ACBD"],
    ["scale", "0"],
    ["scale", "1e3"],
    ["offset", "some"],
    ["interval", "5"],
    ["timeout", "9999"],
    ["airRegister", "200"],
    ["airType", "text"],
    ["ambientScale", "0"],
  ])("%s=%j is refused by name", (name, value) => {
    try {
      gauge({ [name]: value });
      expect.unreachable();
    } catch (error) {
      expect(isStaunchError(error, "gauge-option") && error.exit === 64 && `${error.message} ${error.hint}`).toContain(name);
    }
  });

  it.each(["register", "type", "unit"] as const)("%s must be told: it is never guessed", (name) => {
    const { [name]: _, ...rest } = GIVEN;
    expect(() => modbus.create(rest)).toThrow(new RegExp(`needs the option ${name}`));
  });

  it("a number of two registers does not begin in the last one", () => {
    expect(() => gauge({ register: "65535" })).toThrow(/65535/);
  });

  it("an absolute sensor is said to be one", () => {
    expect(gauge().reference).toBe("vented");
    expect(gauge({ reference: "absolute" }).reference).toBe("absolute");
    expect(() => gauge({ reference: "sealed" })).toThrow(/reference/);
  });

  it("scale and offset are in the unit, the offset after the scale", () => {
    const heard = heardBy(gauge({ type: "int16", unit: "mbar", scale: "0.01", offset: "-2" }), [withCrc16([1, 3, 2, 0x03, 0xe8])]);
    // 1000 counts of 0.01 mbar less 2 mbar: 8 mbar = 800 Pa.
    expect(heard.readings[0]?.pressure_Pa).toBeCloseTo(800, 9);
  });
});
