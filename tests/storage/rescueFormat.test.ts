import { readFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { bTreePage, type Cell, layoutOf, type Value, valuesOf } from "../../src/storage/rescueFormat.ts";
import { temporaryFolder } from "../support/archives.ts";

/** SQLite itself writes the pages that are read here. */
const NUMBERS = [0, 1, -1, 127, 128, -129, 32_767, -32_769, 2 ** 23, -(2 ** 31), 2 ** 31, 2 ** 47, -(2 ** 47) - 1, Number.MAX_SAFE_INTEGER];
const OTHERS: (number | string | Buffer | null)[] = [
  0.5,
  -1e300,
  null,
  "",
  "naïve 管 \u0000 end",
  Buffer.alloc(0),
  Buffer.from([0, 255, 13]),
];

function written(pageSize: number, sql: string, rows: readonly unknown[][]): Buffer[] {
  const path = join(temporaryFolder(), "made.db");
  const db = new Database(path);
  db.pragma(`page_size = ${pageSize}`);
  db.exec(sql);
  const insert = db.prepare(`insert into t values (${rows[0]?.map(() => "?").join(", ")})`);
  db.transaction(() => {
    for (const row of rows) insert.run(...row);
  })();
  db.close();
  const bytes = readFileSync(path);
  return Array.from({ length: bytes.length / pageSize }, (_, n) => bytes.subarray(n * pageSize, (n + 1) * pageSize));
}

/** The values of a cell, its rest fetched from the pages that it names. */
function valuesIn(cell: Cell, pages: readonly Buffer[]): Value[] | null {
  const parts = [cell.local];
  for (let at = cell.overflow; at !== 0; at = pages[at - 1]?.readUInt32BE(0) ?? 0)
    parts.push(pages[at - 1]?.subarray(4) ?? Buffer.alloc(0));
  const layout = layoutOf(cell);
  return layout === null ? null : valuesOf(Buffer.concat(parts).subarray(0, cell.length), layout);
}

/** Every row of the kind that is wanted, wherever it lies; the first page holds what is declared. */
function rowsIn(pages: readonly Buffer[], isIndex: boolean): (Value[] | null)[] {
  return pages.slice(1).flatMap((page) => {
    const found = bTreePage(page, false);
    return found === null || found.isIndex !== isIndex ? [] : found.cells.map((cell) => (cell === null ? null : valuesIn(cell, pages)));
  });
}

const byFirst = (a: readonly unknown[] | null, b: readonly unknown[] | null): number => Number(a?.[0]) - Number(b?.[0]);
const plain = (row: readonly unknown[] | null): unknown[] | undefined =>
  row?.map((value) => (value instanceof Uint8Array ? `bytes ${Buffer.from(value).toString("base64")}` : value));

describe.each([512, 1024, 4096, 65_536])("pages of %i bytes", (size) => {
  it("give every value of every length as it was put in, in tables and in tables without rowid", () => {
    // Lengths about every border between what lies in the page and what does not.
    const lengths = [
      0,
      1,
      30,
      size / 4 - 40,
      size - 60,
      ...Array.from({ length: 60 }, (_, n) => size - 64 + n),
      3 * size,
      12 * size,
    ].filter((n) => n >= 0);
    const bodies = [...OTHERS, ...NUMBERS, ...lengths.map((length, n) => Buffer.alloc(length, n + 1))];
    const rows = bodies.map((body, n) => [n, body]);
    for (const [sql, isIndex] of [
      ["create table t (a, b any)", false],
      ["create table t (a integer not null, b any, primary key (a)) strict, without rowid", true],
    ] as const) {
      const found = rowsIn(written(size, sql, rows), isIndex)
        .sort(byFirst)
        .map(plain);
      expect(found).toEqual(rows.map(plain));
    }
  });
});

describe("what is no page of a table", () => {
  it("is null, or its cells are", () => {
    expect(bTreePage(Buffer.alloc(1024), false)).toBeNull();
    expect(bTreePage(Buffer.alloc(1024, 0x0d), false)).toBeNull();
    const [, , page = Buffer.alloc(0)] = written(
      512,
      "create table t (a, b)",
      Array.from({ length: 40 }, (_, n) => [n, "text"]),
    );
    const sound = bTreePage(page, false);
    expect(sound?.cells.every((cell) => cell !== null)).toBe(true);
    const spoilt = Buffer.from(page);
    spoilt.writeUInt16BE(511, 8);
    expect(bTreePage(spoilt, false)?.cells[0]).toBeNull();
    expect(bTreePage(spoilt, false)?.cells.slice(1)).toEqual(sound?.cells.slice(1));
  });

  it("a text that is no UTF-8, and a number beyond what an archive holds, are no values", () => {
    const cell = (header: number[], body: number[]): Cell => {
      const local = Buffer.from([header.length + 1, ...header, ...body]);
      return { rowid: 1, length: local.length, local, overflow: 0 };
    };
    const values = (one: Cell): Value[] | null => valuesOf(one.local, layoutOf(one) ?? { shape: "", columns: [] });
    expect(values(cell([15], [0x41]))).toEqual(["A"]);
    expect(values(cell([15], [0xff]))).toBeNull();
    expect(values(cell([6], [0x7f, 255, 255, 255, 255, 255, 255, 255]))).toBeNull();
    expect(layoutOf(cell([10], []))).toBeNull();
    expect(layoutOf(cell([15], []))).toBeNull();
  });
});
