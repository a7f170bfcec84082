import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { chainFindings } from "../../src/evidence/chain.ts";
import { insertEnd, insertStart } from "../../src/storage/recordRows.ts";
import { type Looked, standings } from "../../src/storage/standings.ts";
import { noisyReadings, sampleEnd, sampleStart } from "../support/records.ts";
import { type SealedBench, sealedBench, sealedRecord } from "../support/sealed.ts";

/** Every column that was sealed, or is a copy of what was, and the row of the first record in it. */
const SEALED: readonly [table: string, row: string, columns: readonly string[]][] = [
  ["keys", "number = 1", ["public"]],
  [
    "seals",
    "entry = 1",
    ["chain", "number", "kind", "subject", "attempt", "sealed_wall_ms", "previous", "head", "seal", "signature", "key"],
  ],
  ["blocks", "entry = 1", ["place", "bytes", "hash"]],
  ["records", "number = 1", ["id", "started_wall_ms", "source", "section", "stage", "method", "start"]],
  ["ends", "record = 1", ["ended_wall_ms", "word", "verdict"]],
];

type Value = string | number | bigint | Uint8Array;

/** Bit `bit` of byte `at` the other way; of a number, one bit of it. */
function bent(value: Value, at: number, bit: number): Value {
  if (typeof value === "number") return Number(BigInt(value) ^ (1n << BigInt(at * 8 + bit)));
  const bytes = Buffer.from(typeof value === "string" ? Buffer.from(value, "utf8") : (value as Uint8Array));
  bytes[at] = (bytes[at] ?? 0) ^ (1 << bit);
  return bytes;
}

const sizeOf = (value: Value): number => (typeof value === "number" ? 5 : Buffer.from(value as Uint8Array | string).length);

/** A vandal with the file open in another program: no rule of ours holds for it. */
function vandal(b: SealedBench): Database.Database {
  const db = new Database(b.archive.path);
  for (const rule of ["synchronous = off", "foreign_keys = off", "ignore_check_constraints = on"]) db.pragma(rule);
  return db;
}

function flip(db: Database.Database, [table, row, column]: readonly [string, string, string], at: number, bit: number): () => void {
  const { value, type } = db
    .prepare<[], { value: Value; type: string }>(`select ${column} as value, typeof(${column}) as type from ${table} where ${row}`)
    .get() ?? { value: "", type: "" };
  const rowid = db.prepare<[], number>(`select rowid from ${table} where ${row}`).pluck().get();
  const put = (to: Value): unknown =>
    db
      .prepare(`update ${table} set ${column} = cast(? as ${type}) where rowid = ?`)
      .run(typeof to === "string" ? Buffer.from(to) : to, rowid);
  put(bent(value, at, bit));
  return () => put(value);
}

const look = (b: SealedBench): Looked[] => [...standings(b.archive, new Set([b.key.fingerprint]))];
const words = (b: SealedBench): string[] => look(b).map(({ standing }) => standing.standing);
const isFound = (b: SealedBench): boolean => words(b).includes("altered");

describe("one byte changed", () => {
  it("anywhere in what was sealed of a small record, or in its copies, is found: every byte of every column", async () => {
    const b = sealedBench();
    await sealedRecord(b, "one");
    expect(words(b)).toEqual(["intact"]);
    const db = vandal(b);
    const missed: string[] = [];
    let tried = 0;
    for (const [table, row, columns] of SEALED)
      for (const column of columns) {
        const value = db.prepare<[], Value>(`select ${column} from ${table} where ${row}`).pluck().get() ?? "";
        for (let at = 0; at < sizeOf(value); at++) {
          const undo = flip(db, [table, row, column], at, tried % 8);
          if (!isFound(b)) missed.push(`${table}.${column} byte ${at}`);
          undo();
          tried++;
        }
      }
    expect(missed).toEqual([]);
    expect(tried).toBeGreaterThan(4000);
    expect(words(b)).toEqual(["intact"]);
    db.close();
    b.archive.close();
  });

  it("anywhere in a large record is found: two hundred places taken at random", async () => {
    const b = sealedBench();
    await sealedRecord(b, "large", noisyReadings(100_000));
    const db = vandal(b);
    const places = db.prepare<[], { place: number; size: number }>("select place, length(bytes) as size from blocks order by place").all();
    expect(places.length).toBeGreaterThan(2);
    for (let i = 0; i < 200; i++) {
      const { place, size } = places[i % places.length] ?? { place: 0, size: 1 };
      const undo = flip(db, ["blocks", `place = ${place}`, "bytes"], Math.floor(Math.random() * size), i % 8);
      expect(look(b)[0]?.standing).toEqual({
        standing: "altered",
        what: `block ${place + 1} of the journal is not the one that was sealed`,
        block: place + 1,
      });
      undo();
    }
    db.close();
    b.archive.close();
  });
});

describe("larger damage", () => {
  it.each([
    ["the row of the record", "delete from ends; delete from records", "its row in the list of records is gone"],
    ["the end", "delete from ends", "the end time in the list of records is not the sealed one"],
    ["a block", "delete from blocks", "what was tested, its verdict, its blocks or their order are not what was sealed"],
    ["the key", "delete from keys", "the signature is not of this seal and key"],
  ])("%s deleted is told", async (_, sql, what) => {
    const b = sealedBench();
    await sealedRecord(b, "one");
    const db = vandal(b);
    db.exec(sql);
    expect(look(b)[0]?.standing).toEqual({ standing: "altered", what, block: null });
    db.close();
    b.archive.close();
  });

  it("rows put into the open journal beside the sealed one are told", async () => {
    const b = sealedBench();
    await sealedRecord(b, "one");
    const db = vandal(b);
    db.exec("insert into journal values (1, 0, 0, 0, 'bytes-in', x'39')");
    expect(look(b)[0]?.standing).toMatchObject({ what: "rows lie in the open journal beside the sealed one" });
    db.close();
    b.archive.close();
  });

  it("a seal taken away leaves an unsealed record and a hole in the chain", async () => {
    const b = sealedBench();
    for (const id of ["one", "two", "three"]) await sealedRecord(b, id);
    const db = vandal(b);
    db.exec("delete from blocks where entry = 2; delete from seals where entry = 2");
    expect(words(b)).toEqual(["intact", "intact", "unsealed"]);
    const chain = look(b).flatMap(({ found }) => (found === null ? [] : [found.sealed]));
    expect(chainFindings(chain)).toEqual([{ kind: "not-included", chain: b.archive.id, from: 2, to: 2 }]);
    db.close();
    b.archive.close();
  });
});

describe("a record without a seal", () => {
  it("is told from one that has not ended, and a stranger's key from an altered record", async () => {
    const b = sealedBench();
    await sealedRecord(b, "sealed");
    const ended = sampleStart({ id: "ended" });
    insertEnd(b.archive.db, insertStart(b.archive.db, ended), sampleEnd(ended));
    insertStart(b.archive.db, sampleStart({ id: "open" }));
    const found = [...standings(b.archive, new Set(["someone else"]))];
    expect(found.map(({ subject, standing }) => [subject, standing])).toEqual([
      ["sealed", { standing: "unknown-key", fingerprint: b.key.fingerprint }],
      ["ended", { standing: "unsealed", ended: true, mark: null }],
      ["open", { standing: "unsealed", ended: false, mark: null }],
    ]);
    expect([...standings(b.archive, new Set(), "open")].map(({ subject }) => subject)).toEqual(["open"]);
    b.archive.close();
  });
});
