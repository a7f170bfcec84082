import { spawn } from "node:child_process";
import { once } from "node:events";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import packageFile from "../../package.json" with { type: "json" };

const ROOT = fileURLToPath(new URL("../..", import.meta.url));

interface Ended {
  exit: number | null;
  out: string;
  err: string;
}

/** The program as a process of its own, from its sources. */
async function staunch(words: readonly string[], { stdin = "", closeStdout = false } = {}): Promise<Ended> {
  const child = spawn(process.execPath, ["--import", "tsx", "src/main.ts", ...words], { cwd: ROOT });
  let out = "";
  let err = "";
  child.stdout.on("data", (chunk) => {
    out += chunk;
  });
  child.stderr.on("data", (chunk) => {
    err += chunk;
  });
  if (closeStdout) child.stdout.destroy();
  child.stdin.end(stdin);
  const [exit] = (await once(child, "close")) as [number | null];
  return { exit, out, err };
}

describe("the program", () => {
  it("says its version", async () => {
    expect(await staunch(["--version"])).toEqual({ exit: 0, out: `${packageFile.version}\n`, err: "" });
  });

  it("keeps complaints off stdout and shows no stack", async () => {
    const { exit, out, err } = await staunch(["methods", "show", "en1610-la"]);
    expect({ exit, out }).toEqual({ exit: 64, out: "" });
    expect(err).toMatch(/^staunch: .+\n {2}.+\n {2}\(dn-missing\)\n$/);
  });

  it("is quiet when the reader of its output goes away", async () => {
    expect(await staunch(["methods", "list"], { closeStdout: true })).toEqual({ exit: 0, out: "", err: "" });
  });

  it("names a file that is not there", async () => {
    const { exit, err } = await staunch(["methods", "check", "no-such-file.json"]);
    expect(exit).toBe(65);
    expect(err).toMatch(/no-such-file\.json.*no such file/);
  });
});
