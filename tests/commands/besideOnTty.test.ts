/** Two gauges on two real ttys with the real port library; only time is virtual. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, it } from "vitest";
import { replay } from "../../src/commands/replay.ts";
import { test } from "../../src/commands/test.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { findRecord } from "../../src/storage/records.ts";
import { testIo } from "../support/io.ts";
import { openPty, type Pty } from "../support/pty.ts";
import { turning } from "../support/until.ts";

const PROGRAM = "staunch test";
let folder = "";
let ptys: Pty[] = [];

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "beside-"));
  ptys = [await openPty(join(folder, "pipe")), await openPty(join(folder, "weather"))];
});

afterEach(async () => {
  await Promise.all(ptys.map((pty) => pty.end()));
  rmSync(folder, { recursive: true, force: true });
});

/** Says the same now and then until it is heard. */
function saying(pty: Pty, text: string): () => void {
  let turns = 0;
  return () => {
    if (turns++ % 500 === 0) pty.say(text);
  };
}

it("both lines stand in one record, the second is pulled without harm, and the record replays", async () => {
  const [pipe, weather] = ptys;
  if (pipe === undefined || weather === undefined) throw new Error("no ttys");
  const io = testIo();
  const archive = join(folder, "site.staunch");
  const url = (name: string, unit: string): string => `serial://${join(folder, name)}?protocol=line&unit=${unit}`;
  const words = ["--gauge", url("pipe", "Pa"), "--atmosphere", url("weather", "hPa"), "--method", "uk-100mm", "--events"];
  const options = test.parse(words, io);
  if (options === null) throw new Error("only help came");
  const running = test.run(options, { io, archive, program: PROGRAM });
  const said = (): string => [...io.outText, ...io.errText].join("\n");
  // Ports open and bytes arrive in real time, during which virtual time stands still.
  await turning("the second line to be open", () => said().includes("The atmosphere gauge is there"));
  await turning("the second line to be heard", () => said().includes("which it cannot be"), saying(weather, "12.0\r\n"));
  weather.say("1009.1\r\n");
  await turning("the pipe's line to be heard", () => said().includes('"code":"over-pressure"'), saying(pipe, "5000.0\r\n"));
  await weather.hang();
  let now_ms = 0;
  const tick = (): void => io.clock.runUntil(++now_ms);
  await turning("the loss to be told", () => said().includes("The atmosphere gauge is lost"), tick);
  io.interrupt();
  await turning("the record to be closed", () => said().includes('"event":"verdict"'), tick);
  expect(await running).toBe(130);

  const opened = openArchive(archive, { mode: "read" });
  const { start, number, end } = findRecord(opened, "last");
  const journal = readJournal(opened, number);
  opened.close();
  expect(start).toMatchObject({ source: "pseudo-terminal", also: [{ role: "atmosphere", gauge: { protocol: "line" } }] });
  const kinds = journal.map(({ line = 0, kind }) => `${line} ${kind}`);
  for (const kind of ["0 link-up", "0 bytes-in", "1 link-up", "1 bytes-in", "1 link-down"]) expect(kinds).toContain(kind);
  const { verdict } = end ?? {};
  expect(verdict?.reasons.map(({ code }) => code)).not.toContain("gauge-silent");

  const again = testIo();
  await replay.run({ what: "last", json: true }, { io: again, archive, program: PROGRAM });
  expect(JSON.parse(again.outText.join(""))).toEqual(verdict);
});
