import fc from "fast-check";
import { expect, test } from "vitest";
import { scpi } from "../../drivers/scpi.ts";
import type { Driver } from "../../src/core/driver.ts";
import { anyCuts, chopped, heardBy, wireBytes } from "../support/feed.ts";

const NAME = "EXAMPLE WORKS,PG-1,0,1.0\n";
const bytes = (text: string) => new TextEncoder().encode(text);

test("any chunking of the same bytes gives the same readings", () => {
  const wire = wireBytes([NAME, "1.5E2", "9.91E37", "-100", "12 KPA", "\u007f"]);
  fc.assert(
    fc.property(wire, anyCuts, (sent, cuts) => {
      expect(heardBy(scpi.create({ interval: "10" }), chopped(sent, cuts))).toEqual(heardBy(scpi.create({ interval: "10" }), [sent]));
    }),
    { numRuns: 500 },
  );
});

interface Bench {
  readings: { at_ms: number; value: number | null; pairedWith: number }[];
  mostOutstanding: number;
}

/** An instrument that answers question k (from 0, the name first) after `delay(k)` ms, or never; it numbers its answers. */
function bench(driver: Driver, until_ms: number, delay: (k: number) => number | null): Bench {
  const due: { at_ms: number; text: string }[] = [];
  const result: Bench = { readings: [], mostOutstanding: 0 };
  let state = driver.start();
  let asked = 0;
  let wakeAt_ms = 0;
  for (let at_ms = 0; at_ms <= until_ms; at_ms++) {
    const arriving = due.filter((one) => one.at_ms === at_ms);
    const events = [
      ...arriving.map((one) => ({ kind: "bytes", at_ms, bytes: bytes(one.text) }) as const),
      ...(at_ms === 0 ? [{ kind: "opened", at_ms } as const] : wakeAt_ms <= at_ms ? [{ kind: "wake", at_ms } as const] : []),
    ];
    for (const event of events) {
      const step = driver.next(state, event);
      state = step.state;
      wakeAt_ms = step.wakeAt_ms ?? Number.POSITIVE_INFINITY;
      for (const reading of step.readings) result.readings.push({ at_ms, value: reading.pressure_Pa, pairedWith: asked - 1 });
      for (const _ of step.send) {
        const wait = delay(asked);
        if (wait !== null) due.push({ at_ms: at_ms + Math.max(1, wait), text: asked === 0 ? NAME : `${asked}\n` });
        asked++;
      }
      result.mostOutstanding = Math.max(result.mostOutstanding, step.send.length);
    }
  }
  return result;
}

test("an instrument in order is asked every interval, each answer belonging to the latest question", () => {
  const { readings, mostOutstanding } = bench(scpi.create({}), 10_000, () => 20);
  expect(mostOutstanding).toBe(1);
  // First question when the name has come at 20 ms, then every 100 ms: 20, 120 … 9920, and the answer to 9920 at 9940.
  expect(readings).toHaveLength(100);
  expect(readings.every((one) => one.value === one.pairedWith)).toBe(true);
});

test("answers later than the time-out shift no pairing afterwards", () => {
  const { readings } = bench(scpi.create({ timeout: "200" }), 20_000, (k) => (k >= 10 && k < 13 ? 450 : 15));
  const after = readings.filter((one) => one.at_ms > 4000);
  expect(after.length).toBeGreaterThan(100);
  expect(after.every((one) => one.value === one.pairedWith)).toBe(true);
});

test("whatever is lost or late, answers belong to their questions again once the instrument behaves", () => {
  const trouble = fc.array(fc.option(fc.integer({ min: 1, max: 900 }), { nil: null }), { maxLength: 8 });
  fc.assert(
    fc.property(trouble, (delays) => {
      const { readings, mostOutstanding } = bench(scpi.create({ timeout: "200" }), 8000, (k) =>
        k < delays.length ? (delays[k] ?? null) : 10,
      );
      const after = readings.filter((one) => one.at_ms > 4500);
      expect(mostOutstanding).toBeLessThanOrEqual(1);
      expect(after.length).toBeGreaterThan(25);
      expect(after.filter((one) => one.value !== one.pairedWith)).toEqual([]);
    }),
    { numRuns: 60 },
  );
});

test.each([
  ["query", ""],
  ["unit", "volt"],
  ["interval", "0"],
  ["timeout", "soon"],
  ["field", "-1"],
  ["reference", "gauge"],
])("%s=%j is refused by name", (name, value) => expect(() => scpi.create({ [name]: value })).toThrow(new RegExp(name)));

test("the unit option stands in when the reply says none, and the reply wins when it does", () => {
  const heard = heardBy(scpi.create({ unit: "mbar", interval: "10" }), [bytes(NAME), bytes("2\n")]);
  expect(heard.readings[0]).toMatchObject({ pressure_Pa: 200, unit: null });
  expect(heardBy(scpi.create({ unit: "mbar" }), [bytes(NAME), bytes("2 KPA\n")]).readings[0]).toMatchObject({
    pressure_Pa: 2000,
    unit: "kPa",
  });
});

test("an error is never taken for a pressure, and a full queue is not read for ever", () => {
  const driver = scpi.create({ interval: "10", timeout: "50" });
  let state = driver.start();
  const seen: (number | null)[] = [];
  let errorQueries = 0;
  let pressureQueries = 0;
  for (let at_ms = 0; at_ms < 4000; at_ms += 5) {
    const step = driver.next(
      state,
      at_ms === 0 ? { kind: "opened", at_ms } : { kind: "bytes", at_ms, bytes: bytes('-113,"Undefined header"\n') },
    );
    state = step.state;
    seen.push(...step.readings.map((one) => one.pressure_Pa));
    for (const sent of step.send) {
      const text = new TextDecoder().decode(sent);
      if (text === "SYST:ERR?\n") errorQueries++;
      if (text === "READ?\n") pressureQueries++;
    }
  }
  expect(new Set(seen)).toEqual(new Set([null]));
  expect(errorQueries).toBeGreaterThan(10);
  expect(pressureQueries).toBeGreaterThan(10);
});

test("an instrument gone mute is asked for its errors at its second silence, then every five seconds at most", () => {
  const driver = scpi.create({ interval: "100", timeout: "500" });
  let step = driver.next(driver.start(), { kind: "opened", at_ms: 0 });
  const asked: number[] = [];
  for (let at_ms = 1; at_ms <= 20_000; at_ms++) {
    if (at_ms === 10) step = driver.next(step.state, { kind: "bytes", at_ms, bytes: bytes(NAME) });
    else if (step.wakeAt_ms !== undefined && step.wakeAt_ms <= at_ms) step = driver.next(step.state, { kind: "wake", at_ms });
    else continue;
    if (step.send.some((sent) => new TextDecoder().decode(sent) === "SYST:ERR?\n")) asked.push(at_ms);
  }
  // Asked at 10 ms, unanswered at 510 and 1010.
  expect(asked[0]).toBe(1010);
  expect(asked.length).toBeGreaterThanOrEqual(3);
  expect(asked.slice(1).every((at_ms, i) => at_ms - (asked[i] ?? 0) >= 5000)).toBe(true);
});

test("says what the pressure stands on", () => {
  expect([scpi.create({}).reference, scpi.create({ reference: "absolute" }).reference]).toEqual(["vented", "absolute"]);
});
