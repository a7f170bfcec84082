import { Console } from "node:console";
import { copyFileSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it, vi } from "vitest";
import { replay } from "../../src/commands/replay.ts";
import { limitsFor } from "../../src/core/methods/index.ts";
import { openArchive } from "../../src/storage/open.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { temporaryFolder } from "../support/archives.ts";
import { type ClosedLoop, closedLoop } from "../support/closedLoop.ts";
import { rejectionOf } from "../support/errors.ts";
import { type TestIo, testIo } from "../support/io.ts";
import { FakeScreen, fakeKeyboard } from "../terminal/fakeTerminal.ts";

// ink takes the console's output out of the screen's way, with a part of it that the test runner's own console lacks.
Object.assign(console, { Console });

let loop: ClosedLoop;
beforeAll(async () => {
  const limits = limitsFor("en1610-lc", { dn_mm: 150, material: "pvc", laid_length_m: 45 });
  loop = await closedLoop({ sim: "leak=0.6&seed=7&spikes=560:3", limits });
});

/** An archive with so many twins of the simulated test. */
async function archived(count = 1): Promise<string> {
  const path = join(temporaryFolder(), "site.staunch");
  const archive = openArchive(path, { mode: "write" });
  const { verdict } = loop.last.judge;
  if (verdict === null) throw new Error("no verdict");
  for (let i = 0; i < count; i++) {
    const id = `${loop.start.id}${i}`;
    const writer = createRecord(archive, { ...loop.start, id }, testIo().clock);
    for (const event of loop.journal) writer.append(event);
    await writer.end({ ended_wall_ms: loop.last.event.wall_ms, verdict: { ...verdict, record: id } });
  }
  archive.close();
  return path;
}

async function run(words: string[], archive: string, io: TestIo = testIo()): Promise<{ io: TestIo; code: number }> {
  const options = replay.parse(words, io);
  if (options === null) throw new Error("help was asked for");
  return { io, code: await replay.run(options, { io, archive, program: "staunch test" }) };
}

const nowhere = join("no", "such", "archive");

describe("without a screen", () => {
  it("a record comes out as recorded, from the archive or from a file given by name", async () => {
    const path = await archived();
    for (const [words, archive] of [
      [["last", "--plain"], path],
      [[path, "--plain"], nowhere],
      [[path, "last"], nowhere],
      [[path, `${loop.start.id}0`], nowhere],
    ] as const) {
      const { io, code } = await run([...words], archive);
      expect(code).toBe(0);
      expect(io.outText.join("\n")).toContain("replay: the verdict is the recorded one, to the last digit");
      expect(io.outText.filter((line) => /^≠/.test(line))).toEqual([]);
    }
  });

  it("a file of several records wants one named, and says which there are", async () => {
    const path = await archived(2);
    const error = await rejectionOf(run([path], nowhere));
    expect(error).toMatchObject({ code: "record-missing", exit: 64 });
    expect(error.hint).toContain(`${loop.start.id}1, ${loop.start.id}0`);
    expect((await run([path, `${loop.start.id}1`], nowhere)).code).toBe(0);
  });

  it.each([
    [["--rule", "guarded"], "rule guarded", { rule: "guarded" }],
    [["--method", "en1610-ld"], "method en1610-ld", { method: expect.objectContaining({ id: "en1610-ld" }) }],
    [["--unfiltered"], "unfiltered", {}],
    [["--tolerance", "3 %"], "tolerance 3 %", {}],
    [["--tolerance", "1 mbar", "--unfiltered"], "tolerance 1 mbar, unfiltered", {}],
  ])("%j is a what-if that says so and changes nothing in the file", async (words, told, wanted) => {
    const path = await archived();
    const bytes = readFileSync(path);
    const { io } = await run(["last", "--json", ...words], path);
    expect(io.errText.join("\n")).toContain(`what if: ${told}; the recorded verdict is PASS, and nothing was changed`);
    const { schema, recorded, judged, ...rest } = JSON.parse(io.outText.join(""));
    // Nothing that reads a verdict can take it for the record's.
    expect([schema, recorded.verdict, recorded.rule]).toEqual(["staunch/what-if/1", "pass", "simple"]);
    expect(Object.keys(rest).sort()).toEqual(["record", "seal", "what_if"]);
    expect(judged).toMatchObject({ schema: "staunch/verdict/1", ...wanted });
    expect(io.errText.filter((line) => !/^(what if: |seal: |[ =≠] )/.test(line))).toEqual([]);
    expect(readFileSync(path).equals(bytes)).toBe(true);
    expect((await run(["last", "--plain"], path)).io.outText.join("\n")).toContain("to the last digit");
  });

  it("every line of a what-if says so, and the figures stand beside the recorded ones", async () => {
    const { io } = await run(["last", "--plain", "--rule", "guarded", "--method", "en1610-ld"], await archived());
    const [seal, ...lines] = io.outText;
    expect(seal).toBe("seal: none, it ended without one");
    expect(lines.filter((line) => !/^(what if: |[ =≠] )/.test(line))).toEqual([]);
    expect(lines).toContain("what if: VOID: this attempt proves nothing");
    expect(lines).toContain("≠ verdict         PASS                 VOID                 other");
    expect(lines).toContain("≠ rule            simple               guarded              other");
    expect(lines.find((line) => line.startsWith("  figure"))).toMatch(/recorded +what if +difference$/);
  });

  it("every event of a what-if says so", async () => {
    const { io } = await run(["last", "--events", "--unfiltered"], await archived());
    const events = io.outText.map((line) => JSON.parse(line));
    expect(events.at(-1).event).toBe("verdict");
    expect(events.filter(({ what_if }) => JSON.stringify(what_if) !== '["unfiltered"]')).toEqual([]);
  });

  it("what was recorded already is no what-if", async () => {
    const { io } = await run(["last", "--json", "--rule", "simple"], await archived());
    expect(JSON.parse(io.outText.join("")).schema).toBe("staunch/verdict/1");
    expect(io.errText.at(-1)).toBe("replay: the verdict is the recorded one, to the last digit");
  });

  it("figure beside figure, with units and what lies between", async () => {
    const path = await archived();
    const bent = openArchive(path, { mode: "write" });
    bent.db.prepare("update ends set verdict = json_set(verdict, '$.hold.drop_Pa', json_extract(verdict, '$.hold.drop_Pa') + 25)").run();
    bent.close();
    const { io, code } = await run(["last", "--plain"], path);
    expect(code).toBe(1);
    const row = io.outText.find((line) => line.startsWith("≠ drop"));
    const [, before, now] = /^≠ drop +(\d+\.\d{3}) mbar +(\d+\.\d{3}) mbar +-0\.250 mbar$/.exec(row ?? "") ?? [];
    expect(Number(before) - Number(now)).toBeCloseTo(0.25, 2);
    expect(io.outText.filter((line) => /^≠/.test(line))).toHaveLength(1);
    expect(io.outText.filter((line) => /^= /.test(line)).length).toBeGreaterThan(12);
  });

  it.each([
    ["the last digits only", "json_extract(verdict, '$.hold.drop_Pa') * (1 + 1e-12)", 0, "the verdict is the recorded one, to six digits"],
    ["the sixth digit", "json_extract(verdict, '$.hold.drop_Pa') * (1 + 2e-5)", 1, "the verdict is not the recorded one: hold.drop_Pa"],
  ])("a drop that differs in %s", async (_what, sql, exit, words) => {
    const path = await archived();
    const bent = openArchive(path, { mode: "write" });
    bent.db.prepare(`update ends set verdict = json_set(verdict, '$.hold.drop_Pa', ${sql})`).run();
    bent.close();
    const { io, code } = await run(["last", "--plain"], path);
    expect(code).toBe(exit);
    expect([...io.outText, ...io.errText].join("\n")).toContain(words);
  });

  it("another judge's verdict is judged differently now, never altered; the same one is the recorded one", async () => {
    const path = await archived();
    const bent = openArchive(path, { mode: "write" });
    const judge = (sql: string) => bent.db.prepare(`update ends set verdict = json_set(verdict, '$.judge_version', 0 ${sql})`).run();
    judge("");
    const same = await run(["last", "--plain"], path);
    expect([same.code, same.io.outText.at(-1)]).toEqual([
      0,
      "replay: the verdict is the recorded one, to the last digit (judge 0 recorded it, judge 1 judged it now)",
    ]);
    judge(", '$.hold.drop_Pa', 1");
    const other = await run(["last", "--plain"], path);
    bent.close();
    const said = other.io.errText.join("\n");
    expect(other.code).toBe(0);
    expect(said).toContain("judged differently now (judge 1, recorded by 0): hold.drop_Pa 1 became");
    expect([...other.io.outText, said].join("\n").toLowerCase()).not.toContain("altered");
  });

  it("spikes left in are seen in the figures", async () => {
    const path = await archived();
    const [as, other] = [await run(["last", "--json"], path), await run(["last", "--json", "--unfiltered"], path)].map(({ io }) =>
      JSON.parse(io.outText.join("")),
    );
    expect(as.remarks).toContainEqual(expect.objectContaining({ code: "spikes" }));
    expect(other.judged.remarks).not.toContainEqual(expect.objectContaining({ code: "spikes" }));
  });

  it("a record that was altered is found out, with exit code 1", async () => {
    const path = await archived();
    const archive = openArchive(path, { mode: "write" });
    archive.db.prepare("update ends set verdict = replace(verdict, '\"readings\":', '\"readings\":1')").run();
    archive.close();
    const { io, code } = await run(["last", "--plain"], path);
    expect(code).toBe(1);
    expect(io.errText.join("\n")).toMatch(/the verdict is not the recorded one: readings 1\d+ became \d+/);
  });

  it.each([
    [["last", "--tolerance", "soft"], "pressure-unreadable"],
    [["last", "--tolerance", "0 %"], "tolerance-unreadable"],
    [["last", "--tolerance", "2 bar"], "tolerance-unreadable"],
    [["last", "--speed", "fast"], "speed-unreadable"],
    [["last", "last"], "file-unfit"],
  ])("%j is refused: %s", async (words, code) => {
    expect(await rejectionOf(run(words, await archived()))).toMatchObject({ code, exit: 64 });
  });
});

describe("on a screen", () => {
  /** Plays at ×1000 in virtual time until something is shown; then leaves by q. */
  async function watched(words: string[], archive: string, text: string, io: TestIo = testIo()) {
    const keyboard = fakeKeyboard();
    const screen = new FakeScreen(80, 24);
    const seeing = Object.assign(io, { terminal: { stdin: keyboard, stdout: screen.asStream() } });
    const running = run([...words, "--speed", "1000"], archive, seeing);
    await vi.waitFor(() => {
      seeing.clock.runUntil(seeing.clock.now_ms() + 100);
      expect(screen.text).toContain(text);
    }, 20_000);
    keyboard.write("q");
    return { ...(await running), screen, keyboard };
  }

  it("plays a record to its end, gives the terminal back, and says the same as without", async () => {
    const path = await archived();
    const { io, code, screen, keyboard } = await watched(["last"], path, "as recorded, to the last digit");
    expect(code).toBe(0);
    expect(screen.text).toContain("[ HOLD ]");
    expect(screen.text.endsWith("\u001b[?25h\u001b[?1049l")).toBe(true);
    expect(keyboard.raw).toBe(false);
    expect(io.outText.join("\n")).toContain("replay: the verdict is the recorded one, to the last digit");
  });

  it("shows what if with the recorded verdict beside", async () => {
    const path = join(temporaryFolder(), "given.staunch");
    copyFileSync(await archived(), path);
    const { io, screen } = await watched([path, "--rule", "guarded"], nowhere, "what if: PASS");
    expect(screen.text).toContain(" WHAT IF ");
    expect(screen.text).toContain("rule guarded");
    expect(io.outText.join("\n")).toContain("what if: rule guarded; the recorded verdict is PASS");
  });

  it("plays a CSV, whose readings are its bytes", async () => {
    const rows = loop.updates.flatMap(({ readings }) => readings.map(({ at_ms, pressure_Pa }) => `${at_ms / 1000},${pressure_Pa}`));
    const io = testIo({ files: { "a.csv": `time_s,pressure_Pa\n${rows.join("\n")}\n` } });
    const { screen, code } = await watched(
      ["a.csv", "--method", "en1610-lc", "--dn", "150", "--laid-length", "45"],
      nowhere,
      "replayed: ",
      io,
    );
    expect(screen.text).toContain("IMPORTED");
    expect(screen.text).toContain("no recorded verdict");
    expect([0, 1, 2]).toContain(code);
  });
});
