import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { temporaryFolder } from "../support/archives.ts";
import { startProgram } from "../support/program.ts";

const METHOD = ["--method", "en1610-lc", "--dn", "150", "--material", "clay", "--laid-length", "45", "--section", "S1 (invented)"];

async function ran(words: readonly string[]): Promise<{ code: number | NodeJS.Signals; lines: string[] }> {
  const running = startProgram(words);
  const code = await running.ended;
  return { code, lines: running.out().trimEnd().split("\n") };
}

/** What a replay says beside what the crew was told: the seal, the figures, the comparison. */
const isOfReplay = (line: string): boolean => /^(seal: |replay: |= |≠ | {2}figure )/.test(line);

it.each([
  ["pass", "leak=0.5&seed=7", 0],
  ["fail", "leak=1.6&seed=8", 1],
  ["void", "leak=0.5&seed=9&hose=blocked", 2],
  ["silence", "leak=0.5&seed=10&silence=520:40", 2],
] as const)("the built program replays %s line by line as the crew was told, and leaves the archive alone", async (_name, sim, exit) => {
  const archive = join(temporaryFolder(), "site.staunch");
  const test = ["--archive", archive, "test", "--plain", "--gauge", `sim://?${sim}`, "--pace", "100000", ...METHOD];
  const live = await ran(test);
  expect(live.code).toBe(exit);
  const bytes = readFileSync(archive);
  const replayed = await ran(["--archive", archive, "replay", "last", "--plain"]);
  expect(replayed.code).toBe(exit);
  expect(replayed.lines.filter((line) => !isOfReplay(line))).toEqual(live.lines);
  expect(replayed.lines[0]).toMatch(/^seal: intact /);
  expect(replayed.lines.at(-1)).toBe("replay: the verdict is the recorded one, to the last digit");
  expect(replayed.lines.filter((line) => line.startsWith("≠"))).toEqual([]);
  await ran(["--archive", archive, "replay", "last", "--plain", "--rule", "guarded", "--tolerance", "3 %", "--unfiltered"]);
  expect(readFileSync(archive).equals(bytes)).toBe(true);
});
