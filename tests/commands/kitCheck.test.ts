import { join } from "node:path";
import { beforeEach, describe, expect, it } from "vitest";
import { kitChecksOfDay } from "../../src/storage/gaugeLogs.ts";
import { openArchive } from "../../src/storage/open.ts";
import { temporaryFolder } from "../support/archives.ts";
import { rejectionOf } from "../support/errors.ts";
import { gaugesAt } from "../support/gaugeCommand.ts";
import type { TestIo } from "../support/io.ts";

let path = "";
beforeEach(() => {
  path = join(temporaryFolder(), "site.staunch");
});

const add = (url: string, ...words: string[]) =>
  gaugesAt(path, ["add", "blue", url, "--range", "0..200 mbar", "--resolution", "1 Pa", ...words]);
const check = (...words: string[]) => gaugesAt(path, ["kit-check", "blue", "--pace", "5000", ...words]);

function kept() {
  const archive = openArchive(path, { mode: "read" });
  try {
    return kitChecksOfDay(archive, "blue", "2026-11-25");
  } finally {
    archive.close();
  }
}

describe("gauges kit-check", () => {
  it("leads a crew through it and keeps what came out", async () => {
    await add("sim://?seed=7&leak=0");
    const { exit, out } = await check();
    expect(exit).toBe(0);
    for (const text of [
      "A cap can fly",
      "Pump to 110 mbar",
      "Charged. Hands off",
      "The hold of 5:00 has begun",
      "Let the air out",
      "PASS: lost",
      "SIMULATED",
    ])
      expect(out).toContain(text);
    const [one] = kept();
    expect(one).toMatchObject({ passed: true, source: "simulated", duration_s: 300, note: null });
    expect(one?.pressure_Pa).toBeGreaterThan(10_000);
    expect((await gaugesAt(path, ["show", "blue"])).out).toContain("kit checks, newest first:\n  2026-11-25");
  });

  it("fails a leaking kit with exit 1 and says so in JSON", async () => {
    // The simulated kit's leak is a multiple of what it may lose, 110 Pa here; its air's cooling comes on top.
    await add("sim://?seed=7&leak=4&protocol=scpi");
    const { exit, out, err } = await check("--json", "--note", "new\u0007 hose");
    expect(exit).toBe(1);
    const told = JSON.parse(out) as { drop_Pa: number };
    expect(told).toMatchObject({
      schema: "staunch/kit-check/1",
      gauge: "blue",
      passed: false,
      note: "new hose",
      allowed_Pa: expect.any(Number),
    });
    expect(told.drop_Pa).toBeGreaterThan(0.8 * 4 * 110);
    expect(told.drop_Pa).toBeLessThan(1.3 * 4 * 110);
    expect(err).toContain("Hands off");
  });

  it("takes another pressure, time and limit", async () => {
    await add("sim://?seed=3&leak=0");
    const { exit, out } = await check("--pressure", "30 mbar", "--hold", "2 min", "--allow", "500 Pa");
    expect(exit).toBe(0);
    expect(out).toMatch(/in 2:00, at most 500 Pa/);
  });

  it("keeps nothing of a check that was never charged", async () => {
    await add("sim://?seed=3&leak=1000");
    expect(await rejectionOf(check())).toMatchObject({ code: "kit-check-undecided", exit: 2 });
    expect(kept()).toEqual([]);
  });

  it("keeps nothing of a check that a person broke off", async () => {
    await add("sim://?seed=3&leak=0");
    const stopInHold = (io: TestIo): void => {
      if (io.outText.some((text) => text.includes("has begun"))) io.interrupt();
    };
    const { exit, out } = await gaugesAt(path, ["kit-check", "blue", "--pace", "1000"], undefined, stopInHold);
    expect(exit).toBe(130);
    expect(out).not.toContain("PASS");
    expect(kept()).toEqual([]);
  });

  it.each([
    ["more than the gauge bears", ["--pressure", "300 mbar"], "kit-pressure"],
    ["less than nothing to it", ["--pressure", "-50 mbar"], "kit-pressure"],
    ["no charge", ["--pressure", "1 mbar"], "kit-pressure"],
    ["no pressure", ["--pressure", "much"], "pressure-unreadable"],
    ["no time", ["--hold", "5 s"], "kit-hold"],
    ["no limit", ["--allow", "-1 Pa"], "kit-allow"],
    ["no pace", ["--pace", "quick"], "pace-unreadable"],
  ])("refuses %s", async (_what, words, code) => {
    await add("sim://?seed=3");
    expect(await rejectionOf(check(...words))).toMatchObject({ code, exit: 64 });
  });

  it("is not for a tube read by eye, nor faster than life for a real gauge, nor for a gauge not on file", async () => {
    expect((await rejectionOf(check())).code).toBe("gauge-unknown");
    await add("keyed://");
    expect((await rejectionOf(check())).code).toBe("kit-keyed");
    await gaugesAt(path, ["calibrate", "blue", "--url", "serial:///dev/null?protocol=line"]);
    expect((await rejectionOf(check())).code).toBe("pace-real");
  });
});
