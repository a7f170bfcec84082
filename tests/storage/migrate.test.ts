import { join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { expectedShape, MIGRATIONS, type Migration, migrate, shapeOf, versionOf } from "../../src/storage/migrate.ts";
import { temporaryFolder } from "../support/archives.ts";

const [first] = MIGRATIONS;
if (first === undefined) throw new Error("no migration");
const second: Migration = { name: "0002-notes", sql: "create table notes (text text) strict;" };

describe("migrate", () => {
  it("brings an empty file up to date and remembers each step by name", () => {
    const db = new Database(":memory:");
    migrate(db, [first, second]);
    expect(versionOf(db)).toBe(2);
    expect(db.prepare("select number, name from migrations order by number").all()).toEqual([
      { number: 1, name: "0001-records" },
      { number: 2, name: "0002-notes" },
    ]);
  });

  it("does nothing the second time", () => {
    const db = new Database(":memory:");
    migrate(db);
    const changes = db.prepare("select total_changes()").pluck().get();
    migrate(db);
    expect(db.prepare("select total_changes()").pluck().get()).toBe(changes);
  });

  it("brings an older archive up to date and keeps what is in it", () => {
    const db = new Database(":memory:");
    migrate(db, [first]);
    const id = db.prepare("select id from archive").pluck().get();
    migrate(db, [first, second]);
    expect(versionOf(db)).toBe(2);
    expect(db.prepare("select id from archive").pluck().get()).toBe(id);
  });

  it("leaves the version before when a step fails half way", () => {
    const db = new Database(":memory:");
    const broken: Migration = { name: "0002-broken", sql: "create table notes (text text) strict; create table notes (text text);" };
    expect(() => migrate(db, [first, broken])).toThrow();
    expect(versionOf(db)).toBe(1);
    expect(shapeOf(db)).toBe(expectedShape(1));
    migrate(db, [first, second]);
    expect(versionOf(db)).toBe(2);
  });

  it("is done by one of two programs that open the same new file", () => {
    const path = join(temporaryFolder(), "site.staunch");
    const [one, two] = [new Database(path), new Database(path)];
    migrate(one);
    migrate(two);
    expect(one.prepare("select count(*) from archive").pluck().get()).toBe(1);
    one.close();
    two.close();
  });

  it("has numbered names without gaps", () => {
    expect(MIGRATIONS.map(({ name }) => Number(name.slice(0, 4)))).toEqual(MIGRATIONS.map((_, index) => index + 1));
  });
});
