import { spawn } from "node:child_process";
import { createHash } from "node:crypto";
import { once } from "node:events";
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import Database from "better-sqlite3";
import { build } from "esbuild";
import { openArchive } from "../../src/storage/open.ts";
import { subjectReader, subjectWriter } from "../../src/storage/subjectRows.ts";
import { makeCrews } from "./mergeFiles.ts";

/**
 * Many crews' archives into one office archive, in two orders; the first run is killed half-way and started again. Nothing may be lost or doubled,
 * and both must hold the same. Words: records (100 000), archives (200).
 */
const [records = 100_000, archives = 200] = process.argv.slice(2).map(Number);

async function child(): Promise<string> {
  const outfile = fileURLToPath(new URL("../../node_modules/.cache/staunch-bench/merging.mjs", import.meta.url));
  const entry = fileURLToPath(new URL("merging.ts", import.meta.url));
  await build({ entryPoints: [entry], outfile, bundle: true, format: "esm", platform: "node", packages: "external", logLevel: "error" });
  return outfile;
}

/** Seconds it ran; killed once it has said that `killAt` records are in. */
async function run(program: string, path: string, files: readonly string[], killAt = Number.POSITIVE_INFINITY): Promise<number> {
  const from = performance.now();
  const running = spawn(process.execPath, [program, path, ...files], { stdio: ["ignore", "pipe", "inherit"] });
  let said = "";
  running.stdout.setEncoding("utf8").on("data", (text: string) => {
    said = (said + text).slice(-200);
    const last = Number(said.trim().split("\n").at(-1));
    if (last >= killAt) setTimeout(() => running.kill("SIGKILL"), Math.random() * 200);
  });
  const [code, signal] = await once(running, "close");
  const s = (performance.now() - from) / 1000;
  console.log(`  ${signal === null ? `ended ${code}` : `killed (${signal})`} after ${s.toFixed(1)} s: ${said.trim().split("\n").at(-1)}`);
  return s;
}

/** A digest of everything that was sealed and listed, in an order of its own. */
function digest(path: string): { records: number; entries: number; digest: string; sound: boolean } {
  const db = new Database(path, { readonly: true });
  const hash = createHash("sha256");
  const feed = (sql: string): number => {
    let count = 0;
    for (const row of db.prepare<[], unknown[]>(sql).raw().iterate()) {
      count++;
      for (const cell of row) hash.update(cell instanceof Uint8Array ? cell : String(cell)).update("\0");
    }
    return count;
  };
  const count = feed(
    "select r.id, r.started_wall_ms, r.section, r.start, e.word, e.verdict from records r join ends e on e.record = r.number order by r.id",
  );
  const entries = feed(
    "select chain, number, kind, subject, attempt, previous, head, seal, signature from seals order by chain, number, seal",
  );
  feed("select s.seal, b.place, b.bytes, b.hash from seals s join blocks b using (entry) order by s.seal, b.place");
  const sound = db.pragma("integrity_check", { simple: true }) === "ok";
  db.close();
  return { records: count, entries, digest: hash.digest("hex").slice(0, 16), sound };
}

/** The same rows read and put into an archive with nothing looked at, in transactions of the same size. */
function bare(path: string, files: readonly string[]): number {
  const from_ms = performance.now();
  const into = openArchive(path, { mode: "write" });
  const write = subjectWriter(into.db);
  for (const file of files) {
    const from = openArchive(file, { mode: "read" });
    const read = subjectReader(from);
    const ids = from.db.prepare<[], string>("select id from records order by number").pluck().all();
    for (let at = 0; at < ids.length; at += 100) {
      into.db.transaction(() => {
        for (const rows of ids.slice(at, at + 100).map(read)) {
          if (rows.listed !== null) write.listed(rows.listed);
          for (const entry of rows.entries) write.entry(entry);
        }
      })();
    }
    from.close();
  }
  into.close();
  return (performance.now() - from_ms) / 1000;
}

const folder = mkdtempSync(join(tmpdir(), "staunch-merge-"));
try {
  const program = await child();
  const files = makeCrews(folder, archives, records);
  const before = readdirSync(folder).length;
  const offices = ["first", "second", "bare"].map((name) => join(folder, `${name}.staunch`));
  const [first = "", second = "", third = ""] = offices;
  console.log(`${files.length} archives, ${records} records, killed half-way and started again`);
  await run(program, first, files, records / 2);
  await run(program, first, files);
  console.log("the other way round, in one go");
  const merging_s = await run(program, second, [...files].reverse());
  // The office archives closed cleanly: a file each, and one lock or log more would be a stray.
  const left = readdirSync(folder).length - before - 2;
  const bare_s = bare(third, files);
  const [one, other, plain] = offices.map(digest);
  console.log(
    `records ${one?.records} and ${other?.records} (wanted ${records}), entries ${one?.entries} and ${other?.entries}, sound ${one?.sound} ${other?.sound}`,
  );
  const isSame = one !== undefined && other !== undefined && one.digest === other.digest && one.digest === plain?.digest;
  console.log(`the same set in both, and as bare inserts make it: ${isSame}`);
  console.log(
    `${(records / merging_s).toFixed(0)} records/s, × ${(merging_s / bare_s).toFixed(1)} of bare reads and inserts of the same rows (${bare_s.toFixed(1)} s)`,
  );
  console.log(`files left over: ${left}`);
  if (left !== 0 || !isSame || one.records !== records || !one.sound || !other.sound) process.exitCode = 1;
} finally {
  rmSync(folder, { recursive: true, force: true });
}
