import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { gauges } from "../../src/commands/gauges.ts";
import { live } from "../../src/commands/live.ts";
import { readReadingsCsv } from "../../src/intake/readingsCsv.ts";
import { temporaryFolder } from "../support/archives.ts";
import { errorOf, rejectionOf } from "../support/errors.ts";
import { type TestIo, testIo } from "../support/io.ts";
import { turning } from "../support/until.ts";

const PIPE = ["--dn", "150", "--laid-length", "45"];
const SIM = "sim://?leak=2&seed=7&sensors=air,ambient";

function start(io: TestIo, words: readonly string[], gauge = SIM, archive = "none"): Promise<number> {
  const options = live.parse(["--gauge", gauge, ...words], io);
  if (options === null) throw new Error("only help came");
  return live.run(options, { io, archive, program: "staunch test" });
}

/** Runs the command on the manual clock to its end. */
async function run(words: readonly string[], gauge = SIM, io = testIo(), archive = "none") {
  let done = false;
  const running = start(io, words, gauge, archive).finally(() => {
    done = true;
  });
  running.catch(() => undefined);
  await turning(
    "the command to end",
    () => done,
    () => void io.clock.runNext(),
  );
  return { exit: await running, out: io.outText.join("\n"), err: io.errText.join("\n") };
}

describe("staunch live", () => {
  it("prints a line each second, says that it is simulated, and sums up", async () => {
    const { exit, out } = await run([...PIPE, "--pace", "10", "--seconds", "180"]);
    expect(exit).toBe(0);
    const lines = out.split("\n");
    expect(lines[0]).toBe("SIMULATED: proves no section.");
    expect(lines.filter((line) => /^ +\d+:\d\d {2}/.test(line)).length).toBeGreaterThanOrEqual(17);
    expect(out).toMatch(
      / \d\d\.\d mmH2O · -\d+\.\d+ ± \d+\.\d+ mmH2O\/min · \d\.\d+ L\/min · air 1\d\.\d °C · barometer 1\d\d\d\.\d hPa · 5\.0\/s/,
    );
    expect(lines.at(-1)).toMatch(/^899 readings in 180\.0 s\./);
  });

  it("gives one object with --json, and plain lines go to stderr", async () => {
    const { out, err } = await run([...PIPE, "--pace", "100", "--seconds", "400", "--json"], "sim://?leak=2&seed=7&resolution=0.1");
    const found = JSON.parse(out);
    expect(found).toMatchObject({
      schema: "staunch/live/1",
      source: "simulated",
      protocol: "line",
      readings: 1999,
      outages: 0,
      zero_Pa: null,
    });
    // The simulated leak is stated: twice 25 mm in 5 min at 100 mm, so about ln(100/75)·2/5 of the pressure a minute, and the cooling of
    // the charge, which dies out with the pipe's time constant of a minute or so.
    const share = -found.rate_Pa_min / found.pressure_Pa;
    expect(share).toBeGreaterThan(0.09);
    expect(share).toBeLessThan(0.15);
    expect(found.rate_mmH2O_min).toBeCloseTo(found.rate_Pa_min / 9.80665, 9);
    expect(found.resolution_Pa).toBeCloseTo(0.1, 6);
    expect(err).toContain("SIMULATED");
  });

  it("gives each reading and each second with --events", async () => {
    const { out } = await run([...PIPE, "--pace", "10", "--seconds", "20", "--events"]);
    const events = out.split("\n").map((line) => JSON.parse(line).event);
    expect(events[0]).toBe("start");
    expect(events.at(-1)).toBe("end");
    expect(events.filter((event) => event === "reading")).toHaveLength(99);
    expect(events.filter((event) => event === "tick").length).toBeGreaterThanOrEqual(1);
  });

  it("writes readings that the judge's own reader takes, to stdout and to a file alike", async () => {
    const { out } = await run(["--pace", "100", "--seconds", "100", "--csv", "-"]);
    const { curve, rows, notes } = readReadingsCsv(out.replaceAll("\n\n", "\n"));
    expect(rows).toBe(499);
    expect(notes).toEqual([]);
    expect(curve.time_s[0]).toBeCloseTo(0.2, 9);
    expect(curve.air_C?.every((air) => air > 5 && air < 30)).toBe(true);
    const path = join(temporaryFolder(), "readings.csv");
    await run(["--pace", "100", "--seconds", "100", "--csv", path]);
    expect(readFileSync(path, "utf8")).toBe(`${out.replaceAll("\n\n", "\n").trimEnd()}\n`);
  });

  it("ends with 0 when it is interrupted, or told q; z takes a zero that is off from then on", async () => {
    const io = { ...testIo(), stdinIsTty: true };
    const ending = start(io, ["--csv", "-"], "sim://?resolution=0.01&noise=0.3");
    await turning(
      "a few readings",
      () => io.outText.length > 12,
      () => void io.clock.runNext(),
    );
    io.type("z");
    expect(io.errText.join("\n")).toContain("Zero taken:");
    io.type("q");
    expect(await ending).toBe(0);
    const other = testIo();
    const interrupted = start(other, []);
    await turning(
      "a line",
      () => other.outText.length > 4,
      () => void other.clock.runNext(),
    );
    other.interrupt();
    expect(await interrupted).toBe(0);
  });

  it("ends when nobody takes its readings any more", async () => {
    const io = testIo();
    let gone = false;
    const ending = start({ ...io, outGone: () => gone }, ["--csv", "-"]);
    await turning(
      "a few readings",
      () => io.outText.length > 5,
      () => void io.clock.runNext(),
    );
    gone = true;
    await turning(
      "one more",
      () => io.errText.some((line) => line.includes("readings in")),
      () => void io.clock.runNext(),
    );
    expect(await ending).toBe(0);
  });

  it("is 69 when no reading ever came", async () => {
    const error = await rejectionOf(run(["--seconds", "3"], "sim://?silence=0:60"));
    expect(error).toMatchObject({ code: "gauge-no-reading", exit: 69 });
    expect(await rejectionOf(start(testIo(), [], "serial:///dev/no-such-port?protocol=line"))).toMatchObject({
      code: "port-missing",
      exit: 69,
    });
  });
});

describe("a gauge on file", () => {
  it("is watched by its name, and an unknown name is said to be one", async () => {
    const archive = join(temporaryFolder(), "site.staunch");
    const io = testIo();
    const words = gauges.parse(["add", "blue-box", "sim://?seed=3"], io);
    if (words === null) throw new Error("only help came");
    await gauges.run(words, { io, archive, program: "staunch test" });
    const found = await run(["--pace", "100", "--seconds", "30", "--json"], "blue-box", testIo(), archive);
    expect(JSON.parse(found.out)).toMatchObject({ source: "simulated", readings: 149 });
    expect(await rejectionOf(run([], "blue-bx", testIo(), archive))).toMatchObject({ code: "gauge-unknown", exit: 64 });
  });
});

describe("words it does not take", () => {
  it.each([
    [["--csv", "-", "--json"], "stdout-twice"],
    [["--seconds", "0"], "seconds-unreadable"],
    [["--seconds", "ten"], "seconds-unreadable"],
    [["--unit", "furlong"], "unit-unknown"],
    [["--pace", "fast"], "pace-unreadable"],
    [["--dn", "wide"], "dn-unreadable"],
  ])("%j", async (words, code) => {
    expect(await rejectionOf(run(words))).toMatchObject({ code, exit: 64 });
  });

  it("a gauge that is typed, and a pace for a real one", async () => {
    expect(await rejectionOf(run([], "keyed://"))).toMatchObject({ code: "gauge-not-live", exit: 64 });
    expect(await rejectionOf(run(["--pace", "5"], "serial:///dev/ttyUSB0?protocol=line"))).toMatchObject({ code: "pace-real" });
    expect(errorOf(() => live.parse(["--gauges"], testIo()))).toMatchObject({ exit: 64 });
  });

  it("never overwrites a recording, and says when a file cannot be written (74)", async () => {
    const folder = temporaryFolder();
    const path = join(folder, "kept.csv");
    writeFileSync(path, "precious\n");
    expect(await rejectionOf(run(["--csv", path]))).toMatchObject({ code: "csv-exists", exit: 64 });
    expect(readFileSync(path, "utf8")).toBe("precious\n");
    const nowhere = join(folder, "no-such-folder", "x.csv");
    expect(await rejectionOf(run(["--csv", nowhere]))).toMatchObject({ code: "csv-unwritable", exit: 74 });
    expect(existsSync(nowhere)).toBe(false);
  });
});
