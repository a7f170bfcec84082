import { existsSync } from "node:fs";
import { join } from "node:path";
import { beforeEach, describe, expect, it } from "vitest";
import type { FoundPort } from "../../src/links/serialPorts.ts";
import { temporaryFolder } from "../support/archives.ts";
import { rejectionOf } from "../support/errors.ts";
import { gaugesAt, NOON_ms } from "../support/gaugeCommand.ts";

let path = "";
beforeEach(() => {
  path = join(temporaryFolder(), "site.staunch");
});

const run = (...words: string[]) => gaugesAt(path, words);
const refusal = (...words: string[]) => rejectionOf(gaugesAt(path, words));
const URL = "serial:///dev/ttyUSB0?protocol=scpi&baud=9600";
const WHOLE = ["--range", "0..200 mbar", "--resolution", "1 Pa", "--accuracy", "0.05 % fs", "--vented"];
const DATES = ["--calibrated", "2026-03-01", "--due", "2027-03-01", "--certificate", "C-123", "--serial", "4711"];

describe("gauges add, list and show", () => {
  it("puts a gauge on file and shows it", async () => {
    const added = await run("add", "blue", URL, ...WHOLE, ...DATES);
    expect(added).toMatchObject({
      exit: 0,
      out: `blue  0 Pa to 200 mbar  calibrated 2026-03-01, due 2027-03-01, certificate C-123  ${URL}`,
    });
    expect((await run()).out).toBe(added.out);
    expect((await run("list")).out).toBe(added.out);
    const { out } = await run("show", "BLUE");
    for (const text of ["within 0.05 % of full scale", "vented", "4711", "zeros: none kept yet", "kit checks: none yet"])
      expect(out).toContain(text);
    expect(JSON.parse((await run("show", "blue", "--json")).out)).toMatchObject({
      schema: "staunch/gauge/1",
      high_Pa: 20_000,
      accuracy_full_scale: 0.0005,
      accuracy_fraction: null,
      kit_checks: [],
    });
  });

  it("is empty before, without making an archive", async () => {
    expect(await run("list")).toMatchObject({ exit: 0, out: "", err: expect.stringContaining("No gauge is on file") });
    expect(JSON.parse((await run("list", "--json")).out)).toEqual({ schema: "staunch/gauges/1", gauges: [] });
    expect(existsSync(path)).toBe(false);
  });

  it("tells a calibration out of date", async () => {
    await run("add", "old", URL, "--calibrated", "2024-03-01", "--due", "2025-03-01");
    expect((await run("list")).out).toContain("due 2025-03-01 OUT OF DATE");
  });

  it.each([
    ["-50..50 mbar", -5000, 5000],
    ["0 to 20 kPa", 0, 20_000],
    ["-100 mmH2O..2 kPa", -980.665, 2000],
    ["300…1100 hPa", 30_000, 110_000],
  ])("reads the range %s", async (range, low_Pa, high_Pa) => {
    await run("add", "x", URL, "--range", range);
    const shown = JSON.parse((await run("show", "x", "--json")).out) as { low_Pa: number; high_Pa: number };
    expect(shown.low_Pa).toBeCloseTo(low_Pa, 6);
    expect(shown.high_Pa).toBeCloseTo(high_Pa, 6);
  });

  it.each([
    ["a name twice", ["add", "Blue", "keyed://"], "gauge-known"],
    ["a name that draws", ["add", "bl\u001b[31mue", URL], "gauge-name"],
    ["a name that is an address", ["add", "sim://x", URL], "gauge-name"],
    ["an empty name", ["add", " ", URL], "gauge-name"],
    ["a hidden name", ["add", "b\u202elue", URL], "gauge-name"],
    ["an address that is none", ["add", "x", "ttyUSB0"], "gauge-url"],
    ["a protocol nobody knows", ["add", "x", "serial:///dev/ttyUSB0?protocol=zzz"], "protocol-unknown"],
    ["a day that is none", ["add", "x", URL, "--calibrated", "2026-02-30"], "day-unreadable"],
    ["a day in words", ["add", "x", URL, "--calibrated", "yesterday"], "day-unreadable"],
    ["a calibration to come", ["add", "x", URL, "--calibrated", "2026-11-26"], "calibration-days"],
    ["a due day before it", ["add", "x", URL, "--calibrated", "2026-03-01", "--due", "2026-02-01"], "calibration-days"],
    ["a due day alone", ["add", "x", URL, "--due", "2027-03-01"], "calibration-days"],
    ["half a range", ["add", "x", URL, "--range", "200 mbar"], "range-unreadable"],
    ["a range upside down", ["add", "x", URL, "--range", "200..0 mbar"], "range-unreadable"],
    ["a range without a unit", ["add", "x", URL, "--range", "0..200"], "pressure-unreadable"],
    ["a range beyond reason", ["add", "x", URL, "--range", "0..200 bar"], "range-unreadable"],
    ["full scale of no scale", ["add", "x", URL, "--accuracy", "0.1 % fs"], "gauge-figure"],
    ["an accuracy that measures nothing", ["add", "x", URL, "--accuracy", "80 %"], "gauge-figure"],
    ["both references", ["add", "x", URL, "--vented", "--absolute"], "gauge-reference"],
    ["a certificate with controls in it", ["add", "x", URL, "--certificate", "C\u0007"], "gauge-text"],
    ["nobody", ["show", "red"], "gauge-unknown"],
  ])("refuses %s", async (_what, words, code) => {
    await run("add", "blue", URL);
    expect(await refusal(...words)).toMatchObject({ code, exit: 64 });
    expect((await run("list")).out.split("\n")).toHaveLength(1);
  });

  it("names the nearest gauge", async () => {
    await run("add", "blue-box", URL);
    expect((await refusal("show", "blue-bx")).hint).toContain("Did you mean blue-box?");
  });
});

describe("gauges calibrate", () => {
  it("appends a sheet: the rest stays, due day and certificate of the calibration before do not", async () => {
    await run("add", "blue", URL, ...WHOLE, ...DATES);
    await run("calibrate", "blue", "--calibrated", "2026-11-01", "--due", "2027-11-01");
    const { out } = await run("show", "blue");
    expect(out).toMatch(/in date +calibrated 2026-11-01, due 2027-11-01\n/);
    expect(out).toMatch(/calibrations and changes:\n.*2026-03-01.*C-123\n.*2026-11-01/);
    expect(out).toContain("0 Pa to 200 mbar");
  });

  it("refuses to be told nothing, and a due day left over", async () => {
    await run("add", "blue", URL, ...DATES);
    expect((await refusal("calibrate", "blue")).code).toBe("nothing-said");
    expect((await refusal("calibrate", "red", "--serial", "1")).code).toBe("gauge-unknown");
    await run("calibrate", "blue", "--calibrated", "2026-11-01");
    expect((await run("list")).out).toContain("due not told");
  });
});

describe("gauges check", () => {
  const check = (...words: string[]) => run("check", "blue", "--method", "en1610-lc", "--dn", "300", ...words);

  it("says fit, and why", async () => {
    await run("add", "blue", URL, ...WHOLE, ...DATES);
    const { exit, out } = await check();
    expect(exit).toBe(0);
    expect(out).toMatch(/^FIT: gauge blue for EN 1610/);
    expect(out.split("\n")).toHaveLength(5);
  });

  it("says unfit with exit 1, naming what is wrong", async () => {
    await run("add", "blue", URL, "--range", "0..100 mbar", "--resolution", "2 mbar", "--accuracy", "2 %", ...DATES);
    const { exit, out } = await check("--json");
    expect(exit).toBe(1);
    const told = JSON.parse(out) as { fit: boolean; points: { code: string; fit: boolean | null }[] };
    expect(told.fit).toBe(false);
    expect(told.points.map(({ code, fit }) => `${code} ${fit}`)).toEqual([
      "range false",
      "resolution false",
      "accuracy true",
      "calibration true",
    ]);
  });

  it("does not take what nobody told for fit", async () => {
    await run("add", "blue", URL);
    expect(await check()).toMatchObject({ exit: 1, out: expect.stringContaining("not told") });
  });

  it("is unfit the day after its due day", async () => {
    await run("add", "blue", URL, ...WHOLE, "--calibrated", "2026-03-01", "--due", "2026-11-24");
    expect((await check()).exit).toBe(1);
  });
});

describe("gauges find", () => {
  const port: FoundPort = {
    path: "/dev/serial/by-id/usb-Hill_A5-if00",
    device: "/dev/ttyUSB0",
    vendorId: "0403",
    productId: "6001",
    maker: "Hill\u001b[2J & Vale",
    product: null,
    serial: "A5",
  };

  it("shows stable names, USB ids and what the maker says, made harmless", async () => {
    const { out, exit } = await gaugesAt(path, ["find"], { ports: async () => [port] });
    expect(exit).toBe(0);
    expect(out).toBe("/dev/serial/by-id/usb-Hill_A5-if00  (now /dev/ttyUSB0)\n    USB 0403:6001, Hill & Vale, no. A5");
  });

  it("says what was heard over the air, or why nothing could be", async () => {
    const heard = [{ url: "ble://AA:BB:CC:DD:EE:FF?profile=ess", name: "Box", signal_dBm: -60 }];
    const both = await gaugesAt(path, ["find"], { ports: async () => [port], scan: async () => heard });
    expect(both.out).toContain("ble://AA:BB:CC:DD:EE:FF?profile=ess\n    Box, -60 dBm");
    const scan = () => Promise.reject(new Error("the adapter is off"));
    const deaf = await gaugesAt(path, ["find", "--json"], { ports: async () => [port], scan });
    expect(JSON.parse(deaf.out)).toMatchObject({ schema: "staunch/found/1", ports: [{ vendorId: "0403" }], heard: [] });
    expect(deaf.err).toContain("the adapter is off");
  });

  it("says so when there is nothing", async () => {
    expect(await gaugesAt(path, ["find"], { ports: async () => [] })).toMatchObject({
      exit: 0,
      out: "",
      err: expect.stringContaining("No serial port"),
    });
  });
});

describe("gauges learn", () => {
  it("refuses a speed and a time that are none", async () => {
    expect((await refusal("learn", "/dev/null", "--baud", "fast")).code).toBe("number-unreadable");
    expect((await refusal("learn", "/dev/null", "--seconds", "0")).code).toBe("learn-seconds");
  });
});

describe("the day", () => {
  it("is the machine's own: these tests run at noon, when every zone from -11 to +11 has one day", () => {
    expect(new Date(NOON_ms).getDate()).toBe(25);
  });
});
