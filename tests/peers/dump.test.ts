import { spawnSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { beforeAll, describe, expect, it } from "vitest";
import { standingOf } from "../../src/evidence/chain.ts";
import { rescue } from "../../src/storage/rescue.ts";
import { temporaryFolder } from "../support/archives.ts";
import { noise, putDown, SEALED, type Victim, victim } from "../support/damaged.ts";

/**
 * SQLite's own command line and its way out of a damaged file: `.dump` reads each table from both ends up to the torn page. What it brings back of
 * sealed records, `records rescue` has to bring too. (`.recover` would be the better witness; Debian builds the program without what it needs.)
 */
const BOUND_ms = 60_000;
const SIZE = 4096;

let whole: Victim;
beforeAll(async () => {
  whole = await victim(true);
});

interface Row {
  entry: number;
  subject: string;
  previous: Buffer;
  head: Buffer;
  seal: Buffer;
  signature: Buffer;
  public: Buffer;
}

/** Ids of the records whose seals still fit in what `.dump` brought back of a copy of the file. */
function dumped(path: string): string[] {
  const folder = temporaryFolder();
  const [copy, made] = [join(folder, "copy.db"), join(folder, "made.db")];
  writeFileSync(copy, readFileSync(path));
  const sql = spawnSync("sqlite3", [copy, ".dump"], { timeout: BOUND_ms, maxBuffer: 1 << 28 });
  if (sql.error) throw sql.error;
  // It ends in "rollback" when it met an error; what it brought is wanted all the same.
  const input = sql.stdout.toString().replace(/ROLLBACK; -- due to errors\s*$/, "COMMIT;\n");
  const played = spawnSync("sqlite3", [made], { input, timeout: BOUND_ms });
  if (played.error) throw played.error;
  const db = new Database(made);
  try {
    const tables = new Set(db.prepare<[], string>("select name from sqlite_schema").pluck().all());
    if (!["seals", "keys", "blocks"].every((name) => tables.has(name))) return [];
    const rows = db.prepare<[], Row>("select s.*, k.public from seals s join keys k on k.number = s.key where s.kind = 'record'").all();
    const blocks = db.prepare<[number], { bytes: Buffer; hash: Buffer }>("select bytes, hash from blocks where entry = ? order by place");
    const fits = rows.filter((row) => {
      const facts = { chain: "", number: 0, attempt: null, publicDer: row.public, blocks: blocks.all(row.entry) };
      return standingOf({ ...row, ...facts }, null).standing === "intact" && blocks.all(row.entry).length > 0;
    });
    return fits.map(({ subject }) => subject).sort();
  } finally {
    db.close();
  }
}

function rescued(path: string): string[] {
  try {
    const { records } = rescue(path, join(temporaryFolder(), "new.staunch"), { keys: [], takeAltered: false, wall_ms: 0 });
    return records.filter(({ word }) => word === "sealed").map(({ record }) => record);
  } catch {
    return [];
  }
}

describe("what sqlite3 .dump brings back of sealed records", () => {
  it("of a file that is whole is all", () => {
    expect(dumped(putDown(whole, () => undefined))).toEqual(SEALED);
  });

  it.each([
    ["with a page of noise", (page: number) => putDown(whole, (main) => void noise(SIZE, page).copy(main, (page - 1) * SIZE))],
    ["with a page of zeros", (page: number) => putDown(whole, (main) => void main.fill(0, (page - 1) * SIZE, page * SIZE))],
    ["cut off there", (page: number) => putDown(whole, (main, log) => ({ main: main.subarray(0, page * SIZE), log }))],
  ])("of one %s, rescue brings back too", (_what, spoil) => {
    const [theirs, ours] = [[] as string[], [] as string[]];
    for (let page = 1; page <= whole.main.length / SIZE; page++) {
      const path = spoil(page);
      const [their, our] = [dumped(path), rescued(path)];
      expect({ page, our }).toEqual({ page, our: expect.arrayContaining(their) });
      theirs.push(...their);
      ours.push(...our);
    }
    expect(theirs.length).toBeGreaterThan(0);
    expect(ours.length).toBeGreaterThanOrEqual(theirs.length);
  });
});
