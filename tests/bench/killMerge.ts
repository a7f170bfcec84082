/**
 * Kills the program while it takes a crew's archive into an office's. After each: the office's archive opens and is whole, what it had and what it
 * took is intact, and merging again takes the rest, nothing twice. `killMerge [rounds] [seed]`.
 */
import { spawnSync } from "node:child_process";
import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { QueueClock } from "../../src/links/queueClock.ts";
import { type MachineKey, openKey } from "../../src/storage/key.ts";
import { openArchive } from "../../src/storage/open.ts";
import { standings } from "../../src/storage/standings.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { noisyReadings, sampleEnd, sampleStart } from "../support/records.ts";
import { killed, program, wanted } from "./killing.ts";

const RECORDS = 1500;
const READINGS = noisyReadings(200);

async function sealed(path: string, key: MachineKey, ids: readonly string[]): Promise<void> {
  const archive = openArchive(path, { mode: "write" });
  // Only here, to prepare quickly.
  archive.db.pragma("synchronous = off");
  for (const id of ids) {
    const start = sampleStart({ id, source: "simulated" });
    const writer = createRecord(archive, start, new QueueClock(), { key, onUnsealed: () => undefined });
    for (const event of READINGS) writer.append(event);
    await writer.end(sampleEnd(start));
  }
  archive.close();
}

/** How many records are intact; throws when any is not. */
function intact(path: string, keys: ReadonlySet<string>): number {
  const archive = openArchive(path, { mode: "write" });
  try {
    if (archive.db.pragma("integrity_check", { simple: true }) !== "ok") throw new Error("the archive is damaged");
    const looked = [...standings(archive, keys)];
    const bad = looked.filter(({ standing }) => standing.standing !== "intact");
    if (bad.length > 0) throw new Error(`${bad.length} of ${looked.length} not intact, the first ${bad[0]?.standing.standing}`);
    const own = looked.filter(({ subject }) => subject.startsWith("own-")).length;
    if (own !== 2) throw new Error(`${own} of 2 records that were here before`);
    return looked.length;
  } finally {
    archive.close();
  }
}

const { rounds, draw } = wanted(200);
const folder = mkdtempSync(join(tmpdir(), "staunch-kill-merge-"));
try {
  const staunch = program();
  const keys = ["office", "crew"].map((name) => openKey(join(folder, name, "private.pem")));
  const [officeKey, crewKey] = keys;
  if (officeKey === undefined || crewKey === undefined) throw new Error("no keys");
  const trusted = new Set(keys.map(({ fingerprint }) => fingerprint));
  const [empty, crew, path] = ["office.staunch", "crew.staunch", "now.staunch"].map((name) => join(folder, name)) as [
    string,
    string,
    string,
  ];
  await sealed(empty, officeKey, ["own-1", "own-2"]);
  await sealed(
    crew,
    crewKey,
    Array.from({ length: RECORDS }, (_, at) => `crew-${String(at).padStart(4, "0")}`),
  );
  const words = [staunch, "--archive", path, "merge", crew];
  const run = () => spawnSync(process.execPath, words, { encoding: "utf8" });
  copyFileSync(empty, path);
  const from_ms = performance.now();
  run();
  const whole_ms = performance.now() - from_ms;
  const counts = { none: 0, some: 0, all: 0 };
  const wrong: string[] = [];
  for (let round = 1; round <= rounds; round++) {
    for (const side of ["", "-wal", "-shm"]) rmSync(path + side, { force: true });
    copyFileSync(empty, path);
    await killed(words, "", draw() * whole_ms);
    try {
      const taken = intact(path, trusted) - 2;
      counts[taken === 0 ? "none" : taken === RECORDS ? "all" : "some"]++;
      // Every merge again takes as long as the first: one in four is enough.
      if (round % 4 !== 0) continue;
      const { status, stderr } = run();
      const after = intact(path, trusted) - 2;
      if (status !== 0 || after !== RECORDS) throw new Error(`merged again: exit ${status}, ${after} of ${RECORDS}: ${stderr}`);
    } catch (error) {
      wrong.push(`round ${round}: ${String(error)}`);
    }
  }
  console.log(
    `kills ${rounds} in a merge of ${whole_ms.toFixed(0)} ms: none taken yet ${counts.none}, some ${counts.some}, all ${counts.all}`,
  );
  console.log(`merged again ${Math.floor(rounds / 4)} times to the full; anything wrong: ${wrong.length}   goal: 0`);
  for (const one of wrong) console.log(one);
  if (wrong.length > 0) process.exitCode = 1;
} finally {
  rmSync(folder, { recursive: true, force: true });
}
