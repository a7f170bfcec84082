import { spawn } from "node:child_process";
import { once } from "node:events";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { temporaryFolder } from "../support/archives.ts";
import { startProgram } from "../support/program.ts";

const PROGRAM = fileURLToPath(new URL("../../dist/staunch.js", import.meta.url));
const QUICK = "sim://?leak=1&rate=100";

describe("the built program", () => {
  it.each(["SIGINT", "SIGTERM"] as const)("%s ends it with 0 and the file is whole", async (signal) => {
    const path = join(temporaryFolder(), "readings.csv");
    const running = startProgram(["live", "--gauge", QUICK, "--csv", path]);
    await running.until("a line of figures", (text) => /mmH2O\/min/.test(text));
    running.kill(signal);
    expect(await running.ended).toBe(0);
    const lines = readFileSync(path, "utf8").split("\n");
    const count = Number(/(\d+) readings in/.exec(running.out())?.[1]);
    expect(count).toBeGreaterThan(50);
    // A header, the readings, and nothing after the last line end.
    expect(lines).toHaveLength(count + 2);
    expect(lines.at(-1)).toBe("");
    expect(lines.slice(1, -1).every((line) => /^\d+\.\d{3},-?\d+(\.\d+)?,,$/.test(line))).toBe(true);
  });

  it("ends in good order when the reader of its readings goes away", async () => {
    const child = spawn(process.execPath, [PROGRAM, "live", "--gauge", QUICK, "--csv", "-"], { stdio: ["ignore", "pipe", "pipe"] });
    let complaints = "";
    child.stderr.setEncoding("utf8").on("data", (text: string) => {
      complaints += text;
    });
    child.stdout.once("data", () => child.stdout.destroy());
    const [exit] = (await once(child, "close")) as [number | null];
    expect(exit).toBe(0);
    expect(complaints).toMatch(/\d+ readings in/);
    expect(complaints).not.toContain("EPIPE");
  });
});
