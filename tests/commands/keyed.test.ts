import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { records } from "../../src/commands/records.ts";
import { replay } from "../../src/commands/replay.ts";
import { test } from "../../src/commands/test.ts";
import type { Verdict } from "../../src/core/record.ts";
import { openArchive } from "../../src/storage/open.ts";
import { findRecord } from "../../src/storage/records.ts";
import { temporaryFolder } from "../support/archives.ts";
import { rejectionOf } from "../support/errors.ts";
import { type TestIo, testIo } from "../support/io.ts";

const WORDS = ["--gauge", "keyed://", "--method", "uk-100mm", "--dn", "150", "--laid-length", "30", "--section", "Larkfield S7"];
const PROGRAM = "staunch test";
const turn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

async function until(io: TestIo, at_s: number): Promise<void> {
  for (let now_ms = io.clock.now_ms(); now_ms < 1000 * at_s; ) {
    now_ms = Math.min(now_ms + 10_000, 1000 * at_s);
    io.clock.runUntil(now_ms);
    await turn();
  }
}

/** Types a line each at its second; `null` presses Ctrl-C. */
async function typed(words: readonly string[], lines: readonly (readonly [at_s: number, line: string | null])[]) {
  const io = testIo();
  const archive = join(temporaryFolder(), "site.staunch");
  const options = test.parse([...WORDS, ...words], io);
  if (options === null) throw new Error("only help came");
  const running = test.run(options, { io, archive, program: PROGRAM });
  await turn();
  for (const [at_s, line] of lines) {
    await until(io, at_s);
    if (line === null) io.interrupt();
    else io.type(line);
    await turn();
  }
  await until(io, 3000);
  return { io, archive, exit: await running };
}

/** 100 mm at 7:00, 80 mm five minutes later: 20 mm of 25 are lost. */
const WHOLE = [
  [40, "110"],
  [282, "108"],
  [342, "108"],
  [349, "bled"],
  [352, "100"],
  [353, "what now"],
  [354, "980"],
  [355, ""],
  [420, "50 50"],
  [481, "48 48"],
  [542, "92"],
  [600, "88"],
  [661, "84"],
  [721, "40 40"],
  [750, "0"],
] as const;

describe("test --gauge keyed:// with a method of air", () => {
  it("takes readings from lines, complains of what cannot be meant, keeps and replays the record", async () => {
    const { io, archive, exit } = await typed(["--json"], WHOLE);
    const verdict = JSON.parse(io.outText.join("")) as Verdict;
    expect(exit).toBe(0);
    expect(verdict).toMatchObject({ verdict: "pass", reasons: [], readings: 11 });
    expect((verdict.hold.drop_Pa ?? 0) / 9.80665).toBeCloseTo(20, 6);
    const said = io.errText.join("\n");
    expect(said).toMatch(/"what now" is no reading/);
    expect(said).toMatch(/"980" is far beyond the 127 mm/);
    expect(said).toMatch(/5:52.*Hands off for \d+ s/);
    expect(said).toMatch(/Reading, now: type what the tube shows in mm/);

    const opened = openArchive(archive, { mode: "read" });
    expect(findRecord(opened, "last").start.gauge).toMatchObject({ url: "keyed://", protocol: "keyed", resolution_Pa: 9.80665 });
    opened.close();

    const page = testIo();
    await records.run({ ask: "show", id: "last", json: false }, { io: page, archive, program: PROGRAM });
    expect(page.outText.join("\n")).toMatch(/Read by eye, 11 readings, each to ± 1 mmH2O/);

    const again = testIo();
    expect(await replay.run({ what: "last", json: true }, { io: again, archive, program: PROGRAM })).toBe(0);
    expect(again.errText.join("\n")).toContain("the verdict is the recorded one");
    expect(JSON.parse(again.outText.join(""))).toEqual(verdict);
  });

  it("answers what-if: by the floor of the highway works, and guarded", async () => {
    const { archive } = await typed(["--json"], WHOLE);
    const floor = testIo();
    await replay.run({ what: "last", method: "uk-shw509", rule: "guarded", json: true }, { io: floor, archive, program: PROGRAM });
    expect(JSON.parse(floor.outText.join("")).judged).toMatchObject({ verdict: "pass", method: { id: "uk-shw509" } });
  });

  it.each([
    ["Ctrl-C", null, 130],
    ["q", "q", 130],
    ["stop", "stop", 130],
  ] as const)("%s in the hold leaves a void record", async (_name, line, code) => {
    const { io, exit } = await typed(["--json"], [...WHOLE.slice(0, 10), [500, line]]);
    expect(exit).toBe(code);
    const verdict = JSON.parse(io.outText.join("")) as Verdict;
    expect(verdict.reasons.map((one) => one.code)).toEqual(["interrupted", "hold-too-short"]);
  });

  it("is told that a scale is read more coarsely", async () => {
    const { io } = await typed(["--json", "--resolution", "2 mmH2O"], WHOLE);
    const verdict = JSON.parse(io.outText.join("")) as Verdict;
    expect(verdict.remarks.map(({ code }) => code)).toContain("gauge-too-coarse");
  });

  it("has no options, and no pace", async () => {
    const refused = async (...words: string[]): Promise<string> => {
      const io = testIo();
      const options = test.parse(["--method", "uk-100mm", ...words], io);
      if (options === null) throw new Error("only help came");
      return (await rejectionOf(test.run(options, { io, archive: "unused", program: PROGRAM }))).code;
    };
    expect(await refused("--gauge", "keyed://?unit=mbar")).toBe("gauge-url");
    expect(await refused("--gauge", "keyed://", "--pace", "60")).toBe("pace-real");
  });
});
