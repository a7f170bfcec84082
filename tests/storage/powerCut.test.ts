/**
 * The power goes: of what was written but not forced to disk, some is there and some is not. The log of a running test is cut at the frames that
 * were forced by a commit, between them, and in their midst (SQLite file format §4: a header of 32 bytes, then frames of 24 bytes and a page each;
 * a commit frame has the size of the database at its bytes 4 to 7), with the index beside it and without, or with zeros or old bytes in place of what lacks.
 */
import { copyFileSync, existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { chainFindings } from "../../src/evidence/chain.ts";
import { QueueClock } from "../../src/links/queueClock.ts";
import { closeInterrupted } from "../../src/storage/interrupted.ts";
import { readJournal } from "../../src/storage/journal.ts";
import { openArchive } from "../../src/storage/open.ts";
import { findRecord, listRecords } from "../../src/storage/records.ts";
import { standings } from "../../src/storage/standings.ts";
import { createRecord } from "../../src/storage/writer.ts";
import { temporaryFolder } from "../support/archives.ts";
import { bytesIn, sampleEnd, sampleStart, sampleVerdict } from "../support/records.ts";
import { type SealedBench, sealedBench, sealedRecord } from "../support/sealed.ts";

const EVENTS = Array.from({ length: 30 }, (_, seq) => bytesIn(seq, seq * 100, `${seq}`.padStart(300, "9")));
const BURST = 5;
const HEADER = 32;

/** A file system's view of the archive at one moment, and what was promised by then. */
interface Moment {
  log: Buffer;
  /** Length of the log that was forced to disk. */
  forced: number;
  events: number;
  sealed: string[];
}

/** Even the first record was not promised yet. */
const NOTHING = { events: 0, sealed: [] };

/** `before` is sealed and in the log, then `running` is written burst by burst and sealed: a moment after every commit. */
async function session(b: SealedBench): Promise<Moment[]> {
  const log = `${b.archive.path}-wal`;
  const moments: Moment[] = [];
  const now = (events: number, ...sealed: string[]): void => {
    const bytes = readFileSync(log);
    moments.push({ log: bytes, forced: bytes.length, events, sealed });
  };
  await sealedRecord(b, "before");
  now(0, "before");
  const clock = new QueueClock();
  const start = sampleStart({ id: "running" });
  const writer = createRecord(b.archive, start, clock, b.sealing);
  now(0, "before");
  for (const event of EVENTS) {
    writer.append(event);
    if ((event.seq + 1) % BURST !== 0) continue;
    clock.runUntil(clock.now_ms() + 500);
    now(event.seq + 1, "before");
  }
  await writer.end(sampleEnd(start));
  now(EVENTS.length, "before", "running");
  return moments;
}

/** Where the log can be cut: at each frame's end, and in the midst of each. */
function cuts(log: Buffer): number[] {
  const page = log.readUInt32BE(8);
  const ends: number[] = [];
  for (let at = HEADER; at <= log.length; at += 24 + page) ends.push(at);
  return ends.flatMap((end) => [end, end + 1, end + 24 + page - 1]).filter((at) => at <= log.length);
}

type Lacking = "nothing" | "zeros" | "other bytes";
const LACKING: readonly Lacking[] = ["nothing", "zeros", "other bytes"];

function cutOff(log: Buffer, at: number, lacking: Lacking): Buffer {
  if (lacking === "nothing") return log.subarray(0, at);
  const bytes = Buffer.from(log);
  for (let i = at; i < bytes.length; i++) bytes[i] = lacking === "zeros" ? 0 : (i * 167 + 13) % 256;
  return bytes;
}

interface Found {
  running: "none" | "open" | "ended";
  events: number;
}

/** Opens what the power left, as the next start does, and closes what was broken off. */
function nextStart(b: SealedBench, path: string): Found & { sealed: string[] } {
  const archive = openArchive(path, { mode: "write" });
  try {
    expect(archive.db.pragma("integrity_check", { simple: true })).toBe("ok");
    const trusted = new Set([b.key.fingerprint]);
    const sealed = [...standings(archive, trusted)].filter(({ standing }) => standing.standing === "intact").map(({ subject }) => subject);
    const isThere = listRecords(archive).some(({ id }) => id === "running");
    const found: Found = { running: isThere ? "open" : "none", events: 0 };
    if (isThere) {
      const { number, end } = findRecord(archive, "running");
      const kept = readJournal(archive, number);
      expect(kept).toEqual(EVENTS.slice(0, kept.length));
      if (end !== null) found.running = "ended";
      found.events = kept.length;
    }
    const open = listRecords(archive, { verdict: "open" }).map(({ id }) => id);
    const done = closeInterrupted(archive, 9000, (start) => sampleVerdict(start, { verdict: "void" }), b.sealing);
    expect(done).toEqual({ closed: open, failed: [] });
    const after = [...standings(archive, trusted)];
    expect(after.map(({ standing }) => standing.standing)).toEqual(after.map(() => "intact"));
    expect(chainFindings(after.flatMap(({ found: one }) => (one === null ? [] : [one.sealed])))).toEqual([]);
    const word = listRecords(archive).find(({ id }) => id === "running")?.verdict;
    expect(word).toBe({ none: undefined, open: "void", ended: "pass" }[found.running]);
    return { ...found, sealed };
  } finally {
    archive.close();
  }
}

describe("a power cut while a test runs", () => {
  it("leaves all that was forced to disk, nothing half, and a next start that is clean", { timeout: 60_000 }, async () => {
    const b = sealedBench();
    const moments = await session(b);
    const last = moments.at(-1);
    if (last === undefined) throw new Error("no moment");
    const folder = temporaryFolder();
    let tried = 0;
    for (const [nth, at] of cuts(last.log).entries()) {
      const promised = moments.filter(({ forced }) => forced <= at).at(-1) ?? NOTHING;
      for (const lacking of nth % 3 === 0 ? LACKING : LACKING.slice(0, 1)) {
        const place = join(folder, String(tried++));
        mkdirSync(place);
        const path = join(place, "site.staunch");
        copyFileSync(b.archive.path, path);
        writeFileSync(`${path}-wal`, cutOff(last.log, at, lacking));
        if (tried % 2 === 0 && existsSync(`${b.archive.path}-shm`)) copyFileSync(`${b.archive.path}-shm`, `${path}-shm`);
        const found = nextStart(b, path);
        expect(found.sealed).toEqual(expect.arrayContaining(promised.sealed));
        expect(found.events).toBeGreaterThanOrEqual(promised.events);
        rmSync(place, { recursive: true });
      }
    }
    expect(tried).toBeGreaterThan(150);
    b.archive.close();
  });

  it("in the midst of writing the log back into the file leaves the log, and so everything", { timeout: 60_000 }, async () => {
    const b = sealedBench();
    const log = (await session(b)).at(-1)?.log ?? Buffer.alloc(0);
    const old = readFileSync(b.archive.path);
    b.archive.close();
    const written = readFileSync(b.archive.path);
    const page = log.readUInt32BE(8);
    const folder = temporaryFolder();
    for (let round = 0; round < 12; round++) {
      const path = join(folder, `${round}.staunch`);
      const bytes = Buffer.alloc(Math.max(old.length, written.length));
      old.copy(bytes);
      // Each page old, new or torn in two; the log is forced to disk before the first is touched (SQLite, "Write-ahead logging" §3.2).
      for (let at = 0, draw = round + 1; at < written.length; at += page, draw = (draw * 1_103_515_245 + 12_345) % 2 ** 31)
        written.copy(bytes, at, at, at + ([0, 512, page][Math.floor(draw / 2 ** 16) % 3] ?? 0));
      writeFileSync(path, bytes);
      writeFileSync(`${path}-wal`, log);
      expect(nextStart(b, path)).toEqual({ running: "ended", events: EVENTS.length, sealed: ["before", "running"] });
    }
  });
});
