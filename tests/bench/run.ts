/** `npm run bench` runs the benches in turn; `npm run bench -- truth 400` one of them with its own words. */
import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";

/** Name, what it measures, and the words it runs with when all are run. */
const BENCHES: readonly (readonly [name: string, what: string, words: readonly string[]])[] = [
  ["start", "cold start of staunch --help against node -e 0", []],
  ["session", "a million readings through the session against a plain loop", []],
  ["film", "a million readings made into a film for the replay against a bare loop: time, memory", []],
  ["append", "journal appended and read against bare SQL", []],
  ["review", "100 000 records: lists, searches, counts and curves against bare statements", []],
  ["screen", "live screen over 20 000 frames: heap and share of a core", []],
  ["fuzz", "ten million random and mutated bytes into each decoder: no throw, no growth, back within a frame", ["1e7"]],
  ["live", "a gauge watched with no test: heap over frames and over a day, share of a core", []],
  ["serial", "a thousand readings a second on one serial line: lost, share of a core", []],
  ["reconnect", "a gauge pulled out and back: time to the first reading", []],
  ["kill", "200 kills at random moments: what was lost, is the archive sound", []],
  ["killTest", "200 kills of the program in whole tests: nothing sealed lost, no wrong verdict", []],
  ["seal", "the end of a test packed and sealed: time, bytes a reading", []],
  ["killSeal", "200 kills while a record is packed and sealed: is it whole", []],
  ["killMerge", "200 kills while records are merged: nothing lost or doubled", []],
  ["merge", "200 archives into one, killed and started again, in two orders: nothing lost or doubled", []],
  ["truth", "judge against the simulated truth, closed loop", ["300"]],
];

const [only, ...words] = process.argv.slice(2);
const chosen = only === undefined ? BENCHES : BENCHES.filter(([name]) => name === only);
if (chosen.length === 0) {
  console.error(`There is no bench ${JSON.stringify(only)}. Known: ${BENCHES.map(([name]) => name).join(", ")}.`);
  process.exit(64);
}
let failed = 0;
for (const [name, what, usual] of chosen) {
  console.log(`\n== ${name}: ${what}`);
  const file = fileURLToPath(new URL(`${name}.ts`, import.meta.url));
  const flags = ["screen", "fuzz", "film"].includes(name) ? ["--expose-gc"] : [];
  const { status } = spawnSync(process.execPath, [...flags, "--import", "tsx", file, ...(only === undefined ? usual : words)], {
    stdio: "inherit",
  });
  if (status !== 0) failed++;
}
console.log(failed === 0 ? "\nall within their goals" : `\n${failed} over their goals`);
process.exitCode = failed === 0 ? 0 : 1;
