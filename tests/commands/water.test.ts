import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { addedFrom, clockFrom } from "../../src/commands/addedWords.ts";
import { judge } from "../../src/commands/judge.ts";
import { methods } from "../../src/commands/methods.ts";
import { overriddenBy } from "../../src/commands/overrides.ts";
import { records } from "../../src/commands/records.ts";
import { replay } from "../../src/commands/replay.ts";
import { test } from "../../src/commands/test.ts";
import { waterPlanFrom } from "../../src/commands/waterWords.ts";
import type { Verdict } from "../../src/core/record.ts";
import { openArchive } from "../../src/storage/open.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { temporaryFolder } from "../support/archives.ts";
import { errorOf, rejectionOf } from "../support/errors.ts";
import { type TestIo, testIo } from "../support/io.ts";
import { sampleEnd, sampleStart } from "../support/records.ts";

const PIPE = ["--dn", "300", "--laid-length", "50"];
const AIR = "20260301-080000-aaaa";
const SECTION = "Elderbrook S3-S4";

/** An archive with a failed and a passed air test of one section. */
function archiveWithAir(): string {
  const path = join(temporaryFolder(), "site.staunch");
  const archive = openArchive(path, { mode: "write" });
  const failed = sampleStart({ id: AIR });
  const passed = sampleStart({ id: "20260301-090000-bbbb" });
  insertEnd(archive.db, insertStart(archive.db, failed), sampleEnd(failed, { verdict: "fail" }));
  insertEnd(archive.db, insertStart(archive.db, passed), sampleEnd(passed));
  archive.close();
  return path;
}

const turn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

/** Lets a running test live until this second of its own clock. */
async function until(io: TestIo, at_s: number): Promise<void> {
  for (let now_ms = io.clock.now_ms(); now_ms < 1000 * at_s; ) {
    now_ms = Math.min(now_ms + 60_000, 1000 * at_s);
    io.clock.runUntil(now_ms);
    await turn();
  }
}

async function waterTest(words: readonly string[], lines: readonly (readonly [at_s: number, line: string])[], archive = archiveWithAir()) {
  const io = testIo();
  // A day after the air tests of the archive.
  io.clock.stepWall(Date.UTC(2026, 2, 2) - io.clock.wall_ms());
  const options = test.parse(["--gauge", "keyed://", "--method", "en1610-w", ...PIPE, "--section", SECTION, ...words], io);
  if (options === null) throw new Error("only help came");
  const running = test.run(options, { io, archive, program: "staunch test" });
  await turn();
  for (const [at_s, line] of lines) {
    await until(io, at_s);
    io.type(line);
    await turn();
  }
  await until(io, 6000);
  const exit = await running;
  return { io, exit, archive };
}

const WHOLE = [
  [20, "30"],
  [3700, "head 29.8 kPa"],
  [4500, "0.35"],
  [4501, "-0.2"],
  [4502, "99999"],
  [4503, "what now"],
  [4600, "taken 0.1"],
  [5510, "+0.5"],
] as const;

describe("test --method en1610-w --gauge keyed://", () => {
  it("takes heads and litres from lines, complains of what cannot be meant, keeps and replays the record", async () => {
    const { io, exit, archive } = await waterTest(["--json", "--overrides", AIR], WHOLE);
    const verdict = JSON.parse(io.outText.join("")) as Verdict;
    expect(exit).toBe(0);
    expect(verdict).toMatchObject({ verdict: "pass", reasons: [], readings: 0, hold: { drop_Pa: null, start_Pa: 29_800 } });
    // 0.15 L/m² on π·0.3·50 m².
    expect(verdict.water?.permitted_L).toBeCloseTo(7.069, 3);
    expect(verdict.water).toMatchObject({ added_L: 0.75, volume: "entered", top_ups: 2 });
    const said = io.errText.join("\n");
    expect(said).toMatch(/"-0.2": litres are written without a minus/);
    expect(said).toMatch(/"99999": more than 1000 L at once/);
    expect(said).toMatch(/"what now" is nothing a water test asks for/);

    const page = testIo();
    await records.run({ ask: "show", id: "last", json: false }, { io: page, archive, program: "staunch test" });
    expect(page.outText.join("\n")).toMatch(new RegExp(`overrides\\s+${AIR}: an air test; the water result alone decides`));
    expect(page.outText.join("\n")).toMatch(/water: 0\.75 L ± .* permitted 7\.07 L \(0\.15 L\/m² on 47\.12 m²\)/);

    const air = testIo();
    await records.run({ ask: "show", id: AIR, json: false }, { io: air, archive, program: "staunch test" });
    expect(air.outText.join("\n")).toMatch(/overridden by water test 20260302-\S+: PASS/);
    const airJson = testIo();
    await records.run({ ask: "show", id: AIR, json: true }, { io: airJson, archive, program: "staunch test" });
    expect(JSON.parse(airJson.outText.join(""))).toMatchObject({ overridden_by: [{ verdict: "pass" }] });

    const again = testIo();
    expect(await replay.run({ what: "last", json: true }, { io: again, archive, program: "staunch test" })).toBe(0);
    expect(again.errText.join("\n")).toContain("the verdict is the recorded one");
  });

  it("a Ctrl-C in the half hour leaves a void record", async () => {
    const io = testIo();
    const options = test.parse(["--gauge", "keyed://", "--method", "en1610-w", ...PIPE, "--json"], io);
    if (options === null) throw new Error("only help came");
    const running = test.run(options, { io, archive: archiveWithAir(), program: "staunch test" });
    await until(io, 20);
    io.type("30");
    await until(io, 3700);
    io.type("30");
    await until(io, 4000);
    io.interrupt();
    await turn();
    await until(io, 4010);
    expect(await running).toBe(130);
    const verdict = JSON.parse(io.outText.join("")) as Verdict;
    expect(verdict.reasons.map(({ code }) => code)).toEqual(["interrupted", "hold-too-short"]);
  });

  it.each([
    [["--overrides", "20260301-090000-bbbb"], "overrides-unfit"],
    [["--overrides", AIR, "--section", "S9"], "overrides-unfit"],
    [["--overrides", "nothing"], "record-unknown"],
    [["--gauge", "sim://"], "sim-water"],
    [["--head", "90 kPa"], "head-outside-window"],
    [["--chamber", "1000"], "pair-unreadable"],
    [["--standpipe", "9m"], "standpipe-bore"],
  ])("%j is refused: %s", async (words, code) => {
    const io = testIo();
    const options = test.parse(["--gauge", "keyed://", "--method", "en1610-w", ...PIPE, "--section", SECTION, ...words], io);
    if (options === null) throw new Error("only help came");
    expect((await rejectionOf(test.run(options, { io, archive: archiveWithAir(), program: "staunch test" }))).code).toBe(code);
  });

  it("needs a size", async () => {
    const io = testIo();
    const options = test.parse(["--gauge", "keyed://", "--method", "en1610-w"], io);
    if (options === null) throw new Error("only help came");
    expect((await rejectionOf(test.run(options, { io, archive: "unused", program: "staunch test" }))).code).toBe("dn-missing");
  });
});

it("only a water test overrides", () => {
  const start = sampleStart();
  expect(errorOf(() => overriddenBy({}, SECTION, { start, end: sampleEnd(start, { verdict: "fail" }) })).code).toBe("overrides-unfit");
});

/** A level read every second: filled in 10 min to 30 kPa, steady, losing 20 Pa a minute from the end of the conditioning on. */
function levels(): string {
  const rows = ["time_s,pressure_Pa"];
  for (let t = 0; t <= 6600; t++) {
    const head_Pa = t < 600 ? 50 * t : t < 4300 ? 30_000 : 30_000 - (20 * (t - 4300)) / 60;
    rows.push(`${t},${Math.round(head_Pa / 10) * 10}`);
  }
  return rows.join("\n");
}

async function judged(...words: string[]): Promise<{ exit: number; verdict: Verdict }> {
  const io = testIo({ files: { "levels.csv": levels() } });
  const options = judge.parse(["levels.csv", "--method", "en1610-w", ...PIPE, "--resolution", "10 Pa", "--json", ...words], io);
  if (options === null) throw new Error("only help came");
  const exit = await judge.run(options, { io, archive: "unused", program: "staunch test" });
  return { exit, verdict: JSON.parse(io.outText.join("")) as Verdict };
}

describe("judge FILE.csv --method en1610-w", () => {
  it("reads the litres from the head in a standpipe", async () => {
    // From 72:00 on 30 min of 20 Pa/min are 600 Pa = 61.2 mm; on π/4·0.2² m² that is 1.922 L.
    const { exit, verdict } = await judged("--standpipe", "200", "--hold-from", "72:00");
    expect(exit).toBe(0);
    expect(verdict).toMatchObject({
      verdict: "pass",
      judge: "whole-curve",
      source: "imported",
      record: null,
      hold: { from_s: 4320, to_s: 6120 },
    });
    expect(Math.abs((verdict.water?.added_L ?? 0) - 1.922)).toBeLessThan(2.33 * (verdict.water?.u_added_L ?? 0));
  });

  it("takes what the crew wrote down", async () => {
    const { exit, verdict } = await judged("--hold-from", "72:00", "--added", "9 L at 80:00", "--added", "0.2 L at 102:20");
    expect(exit).toBe(1);
    expect(verdict.water).toMatchObject({ added_L: 9.2, volume: "entered" });
    expect(verdict.reasons.map(({ code }) => code)).toEqual(["drop-over-limit"]);
  });

  it("does not pass on nothing written down while the level fell", async () => {
    const { exit, verdict } = await judged("--hold-from", "72:00");
    expect(exit).toBe(2);
    expect(verdict.reasons.map(({ code }) => code)).toEqual(["level-out-of-band"]);
  });

  it("is void when the crew began before the hour was over", async () => {
    const { verdict } = await judged("--standpipe", "100", "--hold-from", "30:00");
    expect(verdict.reasons.map(({ code }) => code)).toEqual(["settle-too-short"]);
  });
});

describe("words", () => {
  it.each([
    ["12:00", 720],
    ["1:12:00", 4320],
    ["72 min", 4320],
  ])("%s is %i s", (text, seconds) => expect(clockFrom(text)).toBe(seconds));

  it("reads an entry, and refuses the rest", () => {
    expect(addedFrom("0.35 L at 12:00")).toEqual({ litres: 0.35, at_s: 720 });
    expect(addedFrom("-0.1 at 12:00")).toEqual({ litres: -0.1, at_s: 720 });
    for (const text of ["0.35", "much at 12:00", "at 12:00", ""]) expect(errorOf(() => addedFrom(text)).code).toBe("added-unreadable");
    expect(errorOf(() => addedFrom("5000 L at 12:00")).code).toBe("litres-absurd");
  });

  it("reads a plan; metres of head are metres of water", () => {
    expect(waterPlanFrom({})).toBeUndefined();
    const plan = waterPlanFrom({ head: "3 m", fall: "0", branch: ["150 x 12"], chamber: ["1000 × 1.8"], standpipe: "100" });
    expect(plan?.head_Pa).toBeCloseTo(29_419.95, 6);
    expect(plan).toMatchObject({
      fall_m: 0,
      branches: [{ bore_mm: 150, length_m: 12 }],
      chambers: [{ bore_mm: 1000, height_m: 1.8 }],
      standpipe_mm: 100,
    });
  });
});

it("methods show en1610-w shows the permitted litres", async () => {
  const io = testIo();
  const options = methods.parse(["show", "en1610-w", ...PIPE], io);
  if (options === null) throw new Error("only help came");
  await methods.run(options, { io, archive: "unused", program: "staunch test" });
  expect(io.outText.join("\n")).toMatch(/Permitted: 0\.15 L\/m² \(pipelines\) × 47\.124 m² = 7\.07 L added in 30 min/);
});
