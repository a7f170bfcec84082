import { writeSync } from "node:fs";
import { hostname } from "node:os";
import type { Clock } from "../../src/core/link.ts";
import { closeInterrupted } from "../../src/storage/interrupted.ts";
import { openKey } from "../../src/storage/key.ts";
import { lockArchive } from "../../src/storage/lock.ts";
import { openArchive } from "../../src/storage/open.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { sampleStart, sampleVerdict } from "../support/records.ts";

/** The victim of kill.ts: starts a record as a test does and appends readings until it is killed. Says on stdout when each arrived. */
const [path = "", id = "", rate_Hz = "10", size = "16"] = process.argv.slice(2);

const clock: Clock = {
  now_ms: () => Math.floor(performance.now()),
  wall_ms: () => Date.now(),
  at(due_ms, action) {
    const timer = setTimeout(action, Math.max(0, due_ms - performance.now()));
    return () => clearTimeout(timer);
  },
};

lockArchive(path, { pid: process.pid, host: hostname(), since_wall_ms: clock.wall_ms(), record: id });
const archive = openArchive(path, { mode: "write" });
const sealing = {
  key: openKey(`${path}.key`),
  onUnsealed: (reason: string): void => {
    throw new Error(reason);
  },
};
const { failed } = closeInterrupted(archive, clock.wall_ms(), (start) => sampleVerdict(start, { verdict: "void" }), sealing);
if (failed.length > 0) throw failed[0]?.error;
const writer = createRecord(archive, sampleStart({ id, started_wall_ms: clock.wall_ms() }), clock, sealing);

const bytes = new Uint8Array(Number(size)).fill(57);
const period_ms = 1000 / Number(rate_Hz);
const began_ms = performance.now();
let seq = 0;

function next(): void {
  const wall_ms = clock.wall_ms();
  // Straight to the pipe: what was said stays said when the process dies.
  writeSync(1, `${seq} ${wall_ms}\n`);
  writer.append({ seq, at_ms: clock.now_ms(), wall_ms, kind: "bytes-in", bytes });
  seq++;
  setTimeout(next, began_ms + seq * period_ms - performance.now());
}
next();
