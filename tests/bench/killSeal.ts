import { spawn } from "node:child_process";
import { once } from "node:events";
import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { QueueClock } from "../../src/links/queueClock.ts";
import { closeInterrupted } from "../../src/storage/interrupted.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { openKey } from "../../src/storage/key.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { findRecord } from "../../src/storage/records.ts";
import type { Sealing } from "../../src/storage/sealRecord.ts";
import { standings } from "../../src/storage/standings.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { noisyReadings, sampleEnd, sampleStart, sampleVerdict } from "../support/records.ts";
import { victim, wanted } from "./killing.ts";

/** Kills a program while it packs and seals an hour of readings: each time the record must be whole, and either open or sealed, nothing between; what was sealed before is intact, and the next start seals it. `killSeal [rounds] [seed]`. */
const { rounds: ROUNDS, draw } = wanted(200);
const READINGS = 36_000;
/** Beyond the time that sealing takes here, so that some kills come after it. */
const LONGEST_ms = 2000;

/** What the record is after the kill; throws when it is neither. */
function after(path: string, sealing: Sealing): "open" | "sealed" {
  const { fingerprint } = sealing.key;
  const archive = openArchive(path, { mode: "write" });
  try {
    if (archive.db.pragma("integrity_check", { simple: true }) !== "ok") throw new Error("the archive is damaged");
    const { number, end } = findRecord(archive, "last");
    const [before, one] = [...standings(archive, new Set([fingerprint]))];
    if (before?.subject !== "before" || before.standing.standing !== "intact") throw new Error("what was sealed before is not intact");
    const state = end === null ? "open" : "sealed";
    const kept = readJournal(archive, number).length;
    const raw = Number(archive.db.prepare("select count(*) from journal").pluck().get());
    const isRight =
      state === "open" ? one?.standing.standing === "unsealed" && raw === READINGS : one?.standing.standing === "intact" && raw === 0;
    if (!isRight || kept !== READINGS + (state === "open" ? 0 : 1))
      throw new Error(`${state}, ${one?.standing.standing}, ${kept} events, ${raw} raw`);
    if (state === "open") atNextStart(archive, sealing);
    return state;
  } finally {
    archive.close();
  }
}

/** The next start closes and seals it. */
function atNextStart(archive: Archive, sealing: Sealing): void {
  const { closed, failed } = closeInterrupted(archive, Date.now(), (start) => sampleVerdict(start, { verdict: "void" }), sealing);
  const looked = [...standings(archive, new Set([sealing.key.fingerprint]))];
  const isClean = failed.length === 0 && closed.length === 1 && looked.every(({ standing }) => standing.standing === "intact");
  if (!isClean) throw new Error(`next start: closed ${closed.length}, ${looked.map(({ standing }) => standing.standing).join()}`);
}

const folder = mkdtempSync(join(tmpdir(), "staunch-kill-seal-"));
try {
  const program = await victim("killedSealing");
  const key = openKey(join(folder, "key", "private.pem"));
  const prepared = join(folder, "prepared.staunch");
  const archive = openArchive(prepared, { mode: "write" });
  const sealing = { key, onUnsealed: () => undefined };
  const first = sampleStart({ id: "before", started_wall_ms: 1 });
  await createRecord(archive, first, new QueueClock(), sealing).end(sampleEnd(first));
  const writer = createRecord(archive, sampleStart(), new QueueClock(), sealing);
  for (const event of noisyReadings(READINGS)) writer.append(event);
  archive.close();
  const count = { open: 0, sealed: 0, wrong: 0 };
  for (let round = 0; round < ROUNDS; round++) {
    const path = join(folder, `${round}.staunch`);
    copyFileSync(prepared, path);
    const child = spawn(process.execPath, [program, path, key.path], { stdio: ["ignore", "pipe", "inherit"] });
    await once(child.stdout, "data");
    await pause(draw() * LONGEST_ms);
    child.kill("SIGKILL");
    await once(child, "close");
    try {
      count[after(path, sealing)]++;
    } catch (error) {
      count.wrong++;
      console.log(`round ${round}: ${String(error)}`);
    }
  }
  console.log(
    `kills while sealing ${ROUNDS}: record open and whole ${count.open}, sealed and intact ${count.sealed}, anything else ${count.wrong}   goal: 0`,
  );
  if (count.wrong > 0) process.exitCode = 1;
} finally {
  rmSync(folder, { recursive: true, force: true });
}
