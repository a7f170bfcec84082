import { runGauges } from "../../src/commands/gauges.ts";
import type { Finders } from "../../src/commands/gaugesFind.ts";
import { parseGauges } from "../../src/commands/gaugesWords.ts";
import { test } from "../../src/commands/test.ts";
import { type TestIo, type TestIoParts, testIo } from "./io.ts";
import { turning } from "./until.ts";

/** A Wednesday of the year the gauges of these tests are calibrated in, at noon. */
export const NOON_ms = Date.UTC(2026, 10, 25, 12);

export interface Ran {
  io: TestIo;
  exit: number;
  out: string;
  err: string;
}

/** Lets a command run on virtual time until it has ended. */
export async function ended(io: TestIo, running: Promise<number>, step_ms: number, tick: (io: TestIo) => void = () => {}): Promise<Ran> {
  let over = false;
  const done = running.finally(() => {
    over = true;
  });
  done.catch(() => undefined);
  await turning(
    "the command's end",
    () => over,
    () => {
      io.clock.runUntil(io.clock.now_ms() + step_ms);
      tick(io);
    },
  );
  return { io, exit: await done, out: io.outText.join("\n"), err: io.errText.join("\n") };
}

export function ioAt(wall_ms: number, parts: TestIoParts = {}): TestIo {
  const io = testIo(parts);
  io.clock.stepWall(wall_ms - io.clock.wall_ms());
  return io;
}

/** `staunch gauges …` on virtual time; `tick` is called at each of its steps. */
export async function gaugesAt(archive: string, words: readonly string[], finders?: Finders, tick?: (io: TestIo) => void): Promise<Ran> {
  const io = ioAt(NOON_ms);
  const options = parseGauges(words, io);
  if (options === null) return { io, exit: 0, out: io.outText.join("\n"), err: "" };
  return ended(io, Promise.resolve(runGauges(options, { io, archive, program: "staunch test" }, finders)), 10, tick);
}

/** `staunch test …` with a simulated gauge, hours of pipe time in no time; sealed where `key` says where the key lies. */
export async function testAt(archive: string, words: readonly string[], key?: string): Promise<Ran> {
  const io = ioAt(NOON_ms);
  const options = test.parse(words, io);
  if (options === null) throw new Error("only help came");
  return ended(io, test.run(options, { io, archive, program: "staunch test", ...(key === undefined ? {} : { key }) }), 10);
}
