import { spawn } from "node:child_process";
import { once } from "node:events";
import { cpSync, rmSync } from "node:fs";
import { setTimeout as pause } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import buildProgram from "../support/build.ts";

/** What the benches that kill have in common: `NAME [rounds] [seed]`, moments drawn from the seed, victims built once. */

const inCache = (name: string): string => fileURLToPath(new URL(`../../node_modules/.cache/staunch-bench/${name}`, import.meta.url));

/** Rounds and a source of numbers in [0, 1) that gives the same ones for the same seed (mulberry32, public domain). */
export function wanted(usual: number): { rounds: number; draw: () => number } {
  const rounds = Number(process.argv[2] ?? usual);
  const seed = Number(process.argv[3] ?? 1);
  if (!Number.isInteger(rounds) || rounds < 1 || !Number.isInteger(seed))
    throw new Error("a number of rounds and a seed are whole numbers");
  console.log(`rounds ${rounds}, seed ${seed}`);
  let state = seed;
  const draw = (): number => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  return { rounds, draw };
}

/** Loading TypeScript anew for each victim would take most of the time. Must lie where its packages are found. */
export async function victim(name: string): Promise<string> {
  const outfile = inCache(`${name}.mjs`);
  const entry = fileURLToPath(new URL(`${name}.ts`, import.meta.url));
  await build({ entryPoints: [entry], outfile, bundle: true, format: "esm", platform: "node", packages: "external", logLevel: "error" });
  return outfile;
}

/** The program itself, built now and kept apart from later builds. */
export function program(): string {
  buildProgram();
  const folder = inCache("dist");
  rmSync(folder, { recursive: true, force: true });
  cpSync(fileURLToPath(new URL("../../dist", import.meta.url)), folder, { recursive: true });
  return `${folder}/staunch.js`;
}

export interface Killed {
  out: string;
  err: string;
  /** False when it had ended by itself before. */
  byUs: boolean;
}

/** Runs it, waits for `ready` on stdout or stderr (empty: for nothing), then so many milliseconds, then kills it without warning. */
export async function killed(words: readonly string[], ready: string, after_ms: number, env: Record<string, string> = {}): Promise<Killed> {
  const child = spawn(process.execPath, words, { stdio: ["ignore", "pipe", "pipe"], env: { ...process.env, ...env } });
  const said = { out: "", err: "" };
  const isReady = new Promise<void>((resolve) => {
    if (ready === "") resolve();
    const hear = (which: "out" | "err") => (text: string) => {
      said[which] += text;
      if ((said.out + said.err).includes(ready)) resolve();
    };
    child.stdout.setEncoding("utf8").on("data", hear("out"));
    child.stderr.setEncoding("utf8").on("data", hear("err"));
    child.once("close", resolve);
  });
  const closed = once(child, "close");
  await isReady;
  await Promise.race([pause(after_ms), closed]);
  const byUs = child.kill("SIGKILL");
  await closed;
  return { ...said, byUs };
}
