import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { Watched } from "./until.ts";

const PROGRAM = fileURLToPath(new URL("../../dist/staunch.js", import.meta.url));

/** Tests leave the key of the machine they run on alone. */
const folder = mkdtempSync(join(tmpdir(), "staunch-key-"));
const STAUNCH_KEY = join(folder, "private.pem");
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));

export interface Running {
  /** What it has written so far. */
  out(): string;
  err(): string;
  /** Resolves when `isSo` of all that was written to either stream. */
  until(what: string, isSo: (text: string) => boolean): Promise<void>;
  kill(signal: NodeJS.Signals): void;
  /** Exit code, or the signal that ended it. */
  ended: Promise<number | NodeJS.Signals>;
}

/** Starts the built program; stdin is closed and no stream is a terminal. */
export function startProgram(words: readonly string[], env: Record<string, string> = {}): Running {
  const child = spawn(process.execPath, [PROGRAM, ...words], {
    stdio: ["ignore", "pipe", "pipe"],
    env: { ...process.env, STAUNCH_KEY, ...env },
  });
  const watched = new Watched();
  let out = "";
  let err = "";
  child.stdout.setEncoding("utf8").on("data", (text: string) => {
    out += text;
    watched.changed();
  });
  child.stderr.setEncoding("utf8").on("data", (text: string) => {
    err += text;
    watched.changed();
  });
  const ended = once(child, "close").then(([code, signal]: (number | NodeJS.Signals | null)[]) => code ?? signal ?? "SIGKILL");
  return {
    out: () => out,
    err: () => err,
    until: (what, isSo) => watched.until(what, () => isSo(out + err)),
    kill: (signal) => child.kill(signal),
    ended: ended as Promise<number | NodeJS.Signals>,
  };
}

/** Runs it to its end. */
export async function runProgram(words: readonly string[], env: Record<string, string> = {}) {
  const running = startProgram(words, env);
  const code = await running.ended;
  return { code, out: running.out(), err: running.err() };
}
