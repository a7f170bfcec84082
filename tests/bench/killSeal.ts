import { spawn } from "node:child_process";
import { once } from "node:events";
import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { QueueClock } from "../../src/links/queueClock.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { openKey } from "../../src/storage/key.ts";
import { openArchive } from "../../src/storage/open.ts";
import { findRecord } from "../../src/storage/records.ts";
import { standings } from "../../src/storage/standings.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { noisyReadings, sampleStart } from "../support/records.ts";
import { victim, wanted } from "./killing.ts";

/** Kills a program while it packs and seals an hour of readings: each time the record must be whole, and either open or sealed, nothing between. `killSeal [rounds] [seed]`. */
const { rounds: ROUNDS, draw } = wanted(200);
const READINGS = 36_000;
/** Beyond the time that sealing takes here, so that some kills come after it. */
const LONGEST_ms = 2000;

/** What the record is after the kill; throws when it is neither. */
function after(path: string, fingerprint: string): "open" | "sealed" {
  const archive = openArchive(path, { mode: "write" });
  try {
    if (archive.db.pragma("integrity_check", { simple: true }) !== "ok") throw new Error("the archive is damaged");
    const { number, end } = findRecord(archive, "last");
    const [one] = standings(archive, new Set([fingerprint]));
    const state = end === null ? "open" : "sealed";
    const kept = readJournal(archive, number).length;
    const raw = Number(archive.db.prepare("select count(*) from journal").pluck().get());
    const isRight =
      state === "open" ? one?.standing.standing === "unsealed" && raw === READINGS : one?.standing.standing === "intact" && raw === 0;
    if (!isRight || kept !== READINGS + (state === "open" ? 0 : 1))
      throw new Error(`${state}, ${one?.standing.standing}, ${kept} events, ${raw} raw`);
    return state;
  } finally {
    archive.close();
  }
}

const folder = mkdtempSync(join(tmpdir(), "staunch-kill-seal-"));
try {
  const program = await victim("killedSealing");
  const key = openKey(join(folder, "key", "private.pem"));
  const prepared = join(folder, "prepared.staunch");
  const archive = openArchive(prepared, { mode: "write" });
  const writer = createRecord(archive, sampleStart(), new QueueClock(), { key, onUnsealed: () => undefined });
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
      count[after(path, key.fingerprint)]++;
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
