import { readdirSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { DRIVERS, findDriver } from "../drivers/index.ts";
import { isStaunchError } from "../src/core/errors.ts";
import { type Happening, playGaugeFixture, readGaugeFixture } from "./support/gaugeFixture.ts";

const ROOM = new URL("../fixtures/gauges/", import.meta.url).pathname;
const folders = readdirSync(ROOM, { withFileTypes: true })
  .filter((one) => one.isDirectory())
  .map((one) => one.name);
const scenes = (protocol: string) => readdirSync(`${ROOM}${protocol}`).filter((name) => name.endsWith(".jsonl"));

/** Products of decimal figures and factors agree to the last few bits; twelve digits are ours to promise. */
const rounded = (happenings: Happening[]): unknown =>
  JSON.parse(JSON.stringify(happenings, (_, value: unknown) => (typeof value === "number" ? Number(value.toPrecision(12)) : value)));

/** What does not depend on how the bytes were chopped: the counts of one instant are added up. */
function inAnyChunking(happenings: Happening[]): unknown {
  const unused = happenings.reduce((sum, one) => sum + (one.unused ?? 0), 0);
  return rounded([...happenings.filter((one) => one.unused === undefined), { at_ms: -1, unused }]);
}

test("every fixture folder belongs to a driver in the list", () => {
  expect(folders.filter((name) => !DRIVERS.some((one) => one.protocol === name))).toEqual([]);
});

test("protocols are named once", () => {
  expect(new Set(DRIVERS.map((one) => one.protocol)).size).toBe(DRIVERS.length);
});

test("an unknown protocol is refused naming the known ones", () => {
  const find = () => findDriver("morse\u001b[2J");
  expect(find).toThrow(/"morse\\u001b\[2J" is not a gauge protocol/);
  try {
    find();
  } catch (error) {
    expect(isStaunchError(error, "protocol-unknown") && error.exit === 64 && error.hint).toContain("line, scpi");
  }
});

describe.each(DRIVERS)("$protocol", (entry) => {
  test("has at least one scene", () => {
    expect(folders).toContain(entry.protocol);
    expect(scenes(entry.protocol).length).toBeGreaterThan(0);
  });

  test("names its source and explains each option", () => {
    expect(entry.source.length).toBeGreaterThan(10);
    for (const sentence of Object.values(entry.options)) expect(sentence.length).toBeGreaterThan(10);
  });

  test("refuses an option it does not have, naming it", () => {
    expect(() => entry.create({ colour: "red" })).toThrow(/"colour"/);
  });

  const files = folders.includes(entry.protocol) ? scenes(entry.protocol) : [];
  test.each(files)("plays %s and nothing is left over", (file) => {
    const fixture = readGaugeFixture(`${ROOM}${entry.protocol}/${file}`);
    expect(fixture.about.length).toBeGreaterThan(10);
    expect(fixture.source.length).toBeGreaterThan(6);
    expect(rounded(playGaugeFixture(entry, fixture))).toEqual(rounded(fixture.happenings));
  });

  test.each(files)("plays %s byte by byte with the same result", (file) => {
    const fixture = readGaugeFixture(`${ROOM}${entry.protocol}/${file}`);
    for (const chunk of [1, 2, 3])
      expect(inAnyChunking(playGaugeFixture(entry, fixture, chunk))).toEqual(inAnyChunking(fixture.happenings));
  });
});
