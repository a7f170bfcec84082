import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";

/** Cold start of the built program against bare node, in interleaved rounds so that a busy machine slows both alike. */
const PROGRAM = fileURLToPath(new URL("../../dist/staunch.js", import.meta.url));
const ROUNDS = 21;
const GOAL = 1.5;

const CASES: Readonly<Record<string, readonly string[]>> = {
  "node -e 0": ["-e", "0"],
  "staunch --help": [PROGRAM, "--help"],
  "staunch methods list": [PROGRAM, "methods", "list"],
};

function once_ms(words: readonly string[]): number {
  const from = process.hrtime.bigint();
  const { status, stderr } = spawnSync(process.execPath, words, { encoding: "utf8" });
  if (status !== 0) throw new Error(`${words.join(" ")} ended with ${status}: ${stderr}`);
  return Number(process.hrtime.bigint() - from) / 1e6;
}

const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

const times = Object.entries(CASES).map(([name, words]) => ({ name, words, times_ms: [] as number[] }));
for (const { words } of times) once_ms(words);
for (let round = 0; round < ROUNDS; round++) for (const { words, times_ms } of times) times_ms.push(once_ms(words));

const bare_ms = median(times[0]?.times_ms ?? []);
for (const { name, times_ms } of times) {
  const ms = median(times_ms);
  console.log(`${name.padEnd(22)} ${ms.toFixed(1).padStart(7)} ms   × ${(ms / bare_ms).toFixed(2)}`);
}
console.log(`goal: staunch --help at most × ${GOAL}; median of ${ROUNDS} interleaved rounds`);
