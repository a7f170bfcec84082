/** Random and mutated bytes into every decoder: no throw, no growth, reads again within one frame. `npm run bench -- fuzz 1e6 42`: bytes, seed. */
import { DRIVERS } from "../../drivers/index.ts";
import { spoil, victimsOf } from "../support/fuzz.ts";

const [words = "1e7", seedWord = "1"] = process.argv.slice(2);
const bytes = Number(words);
const seed = Number(seedWord);
const MOST_STATE = 1500;
/** Garbage not collected yet and code compiled meanwhile; a leak of one byte in five would show at 1e7. */
const MOST_GROWTH = 2_000_000;

const heap = (): number => {
  globalThis.gc?.();
  return process.memoryUsage().heapUsed;
};

let failed = 0;
for (const entry of DRIVERS) {
  const victims = victimsOf(entry);
  const each = bytes / victims.length;
  // Compiled and warm before the heap is looked at.
  for (const victim of victims) spoil(entry, victim, Math.min(each, 20_000), seed);
  const before = heap();
  const from = process.hrtime.bigint();
  const damages = victims.map((victim, i) => spoil(entry, victim, each, seed + i));
  const seconds = Number(process.hrtime.bigint() - from) / 1e9;
  const growth = heap() - before;
  const sum = (name: "bytes" | "readings" | "unused" | "bursts") => damages.reduce((total, one) => total + one[name], 0);
  const most = (name: "mostFrames" | "mostState") => Math.max(...damages.map((one) => one[name]));
  const isFine = most("mostFrames") <= 2 && most("mostState") < MOST_STATE && growth < MOST_GROWTH;
  if (!isFine) failed++;
  console.log(
    `${entry.protocol.padEnd(7)} ${victims.length} scenes  ${sum("bytes").toExponential(2)} bytes  ${(sum("bytes") / seconds / 1e6).toFixed(2)} MB/s  ` +
      `${sum("readings")} readings  ${sum("unused")} unused  ${sum("bursts")} bursts, at most ${most("mostFrames")} frames to read again  ` +
      `state ≤ ${most("mostState")} B  heap ${(growth / 1e6).toFixed(2)} MB  ${isFine ? "fine" : "NOT FINE"}`,
  );
}
process.exitCode = failed === 0 ? 0 : 1;
