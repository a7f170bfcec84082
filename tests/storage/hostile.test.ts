import { chmodSync, copyFileSync, existsSync, readdirSync, readFileSync, statfsSync, truncateSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import Database from "better-sqlite3";
import { beforeEach, describe, expect, it } from "vitest";
import { openForeign } from "../../src/storage/foreign.ts";
import { limitFault } from "../../src/storage/foreignLimits.ts";
import { handOver } from "../../src/storage/handover.ts";
import { openArchive } from "../../src/storage/open.ts";
import { temporaryFolder, withoutPrivilege } from "../support/archives.ts";
import { errorOf } from "../support/errors.ts";
import { journalNaming } from "../support/journalNaming.ts";
import { bend, contents, office, take } from "../support/merging.ts";
import { sealedBench, sealedRecord } from "../support/sealed.ts";

/** A handover with one good record, made for each test, to be spoilt by it. */
let file = "";
beforeEach(async () => {
  const b = sealedBench();
  await sealedRecord(b, "one");
  file = join(temporaryFolder(), "given.staunch");
  handOver(b.archive, ["one"], file, false);
  b.archive.close();
});

/** Takes the file in; nothing of it may be in the archive afterwards, and the file is as it was. */
function refusal(): { code: string; exit: number; message: string } {
  const into = office();
  const [before, bytes] = [contents(into), readFileSync(file)];
  const error = errorOf(() => take(into, file, { takeAltered: true }));
  expect(contents(into)).toEqual(before);
  expect(readFileSync(file).equals(bytes)).toBe(true);
  into.close();
  expect(readdirSync(dirname(into.path))).toEqual(["office.staunch"]);
  return error;
}

const rewriteSchema = (sql: string): void => bend(file, `pragma writable_schema = on; ${sql}; pragma writable_schema = off`);

describe("a handover is refused as a whole when", () => {
  it.each([
    ["a table", "create table extra (x)", "table extra"],
    ["a trigger", "create trigger t after insert on records begin delete from seals; end", "trigger t"],
    ["a temporary-looking view", "create view v as select * from records", "view v"],
    ["an index", "create index extra on records (section)", "index extra"],
    ["statistics of a query planner", "analyze", "sqlite_stat1"],
    ["a virtual table", "create virtual table f using fts5 (x)", "table f"],
    ["a generated column", "alter table records add column g text as (upper(id))", "table records is declared otherwise"],
    ["a column more", "alter table seals add column extra text", "table seals is declared otherwise"],
  ])("it holds %s", (_what, sql, said) => {
    bend(file, sql);
    const error = refusal();
    expect(error).toMatchObject({ code: "handover-refused", exit: 65 });
    expect(error.message).toContain(said);
  });

  it("a trigger bears a name that SQLite keeps to itself", () => {
    bend(file, "create trigger t after insert on records begin delete from seals; end");
    rewriteSchema("update sqlite_schema set name = 'sqlite_autoindex_t' where name = 't'");
    expect(refusal().code).toMatch(/^(handover-refused|archive-damaged)$/);
  });

  it("a table was made a view of the same name", () => {
    rewriteSchema("update sqlite_schema set type = 'view', rootpage = 0, sql = 'create view ends as select 1' where name = 'ends'");
    expect(refusal().code).toMatch(/^(handover-refused|archive-damaged)$/);
  });

  it("a table is missing", () => {
    bend(file, "drop table kit_checks");
    expect(refusal()).toMatchObject({ code: "handover-refused", message: expect.stringContaining("lacks the") });
  });

  it("two tables share their pages", () => {
    rewriteSchema("update sqlite_schema set rootpage = (select rootpage from sqlite_schema where name = 'ends') where name = 'gauges'");
    expect(refusal()).toMatchObject({ code: "archive-damaged", exit: 65 });
  });

  it("an index does not agree with its table", () => {
    const db = new Database(file, { readonly: true });
    const row = db.prepare("select * from sqlite_schema where name = 'records_by_section'").get();
    db.close();
    rewriteSchema("delete from sqlite_schema where name = 'records_by_section'");
    bend(file, "update records set section = 'elsewhere'");
    const values = ["type", "name", "tbl_name", "rootpage", "sql"].map((name) => `'${Reflect.get(Object(row), name)}'`);
    rewriteSchema(`insert into sqlite_schema values (${values.join(", ")})`);
    expect(refusal()).toMatchObject({ code: "archive-damaged", exit: 65 });
  });

  it("a row belongs to none", () => {
    bend(file, "update blocks set entry = 99");
    expect(refusal()).toMatchObject({ code: "handover-refused", message: expect.stringContaining("belong to none") });
  });

  it("a column holds what it may not hold", () => {
    rewriteSchema("update sqlite_schema set sql = replace(sql, ' strict', '') where name = 'records'");
    bend(file, "update records set started_wall_ms = 'noon'");
    rewriteSchema("update sqlite_schema set sql = sql || ' strict' where name = 'records'");
    expect(refusal()).toMatchObject({ code: "archive-damaged", exit: 65 });
  });

  it.each([
    ["a head of five megabytes", "update seals set head = zeroblob(5000000)", "seals.head is longer"],
    ["a block of six megabytes", "update blocks set bytes = zeroblob(6000000)", "blocks.bytes is longer"],
    ["a start of two megabytes", "update records set start = printf('%.*c', 2000000, '[')", "records.start is longer"],
    ["an id as long as a page", "update records set id = printf('%.*c', 300, 'x')", "records.id is longer"],
    ["a test in no calendar", "update records set started_wall_ms = 9223372036854775807", "in no calendar"],
    ["a test long before time", "update records set started_wall_ms = -9223372036854775808", "in no calendar"],
    ["a number below nought", "update seals set number = -1", "out of range"],
    ["a number no counter reaches", "update seals set number = 9223372036854775807", "out of range"],
    ["a second archive's row", "update archive set id = ''", "has no id"],
  ])("it has %s", (_what, sql, said) => {
    bend(file, sql);
    const error = refusal();
    expect(error).toMatchObject({ code: "handover-refused", exit: 65 });
    expect(error.message).toContain(said);
  });

  it.each([
    [
      "ten thousand reviews of one record",
      "insert into seals with recursive n (i) as (select 2 union all select i + 1 from n where i < 10002) select null, chain, i, 'review', subject, null, 0, previous, head, seal, signature, key from n, seals where entry = 1",
      "what is sealed of a record is larger",
    ],
    [
      "heads of one record that do not fit in memory together",
      "insert into seals with recursive n (i) as (select 2 union all select i + 1 from n where i < 30) select null, chain, i, 'review', subject, null, 0, previous, zeroblob(3000000), seal, signature, key from n, seals where entry = 1",
      "what is sealed of a record is larger",
    ],
    [
      "more blocks than a journal has",
      "insert into blocks with recursive n (i) as (select 5 union all select i + 1 from n where i < 10010) select 1, i, x'00', hash from n, blocks where place = 0",
      "a sealed journal is larger",
    ],
  ])("it has %s", (_what, sql, said) => {
    bend(file, sql);
    expect(refusal()).toMatchObject({ code: "handover-refused", exit: 65, message: expect.stringContaining(said) });
  });

  it("it has more rows of one open journal than fit in memory", () => {
    const db = new Database(":memory:");
    db.exec(
      "create table n (i); insert into n with recursive n (i) as (select 1 union all select i + 1 from n where i < 2000) select i from n",
    );
    const many = "select 1 as record, 0 as seq, 0 as at_ms, 0 as wall_ms, 'wake' as kind, null as body from n a, n b";
    db.exec(`create view journal as ${many}`);
    expect(limitFault(db, new Set(["journal"]))).toBeNull();
    db.exec(`drop view journal; create view journal as ${many} union all select 1, 0, 0, 0, 'wake', null`);
    expect(limitFault(db, new Set(["journal"]))).toBe("the open journal of a record is larger than any may be");
    db.close();
  });

  it("it would have to be copied first, and is none of ours or larger than the disk has room for", () => {
    bend(file, "pragma journal_mode = wal");
    const into = office();
    const other = join(temporaryFolder(), "other.staunch");
    const bytes = readFileSync(file);
    writeFileSync(
      other,
      bytes.map((byte, at) => (at === 68 ? byte ^ 1 : byte)),
    );
    expect(errorOf(() => take(into, other))).toMatchObject({ code: "not-an-archive", exit: 65 });
    // A log with holes in it: it claims more than it takes up.
    const { bavail, bsize } = statfsSync(dirname(into.path));
    truncateSync(file, Math.min(bavail * bsize, 15 * 2 ** 30));
    writeFileSync(`${file}-wal`, "");
    truncateSync(`${file}-wal`, bavail * bsize);
    expect(errorOf(() => take(into, file))).toMatchObject({ code: "archive-full", exit: 74 });
    expect(readdirSync(dirname(into.path)).filter((name) => name.startsWith(".staunch"))).toEqual([]);
    into.close();
  });

  it("it is cut off", () => {
    truncateSync(file, readFileSync(file).length - 1500);
    expect(refusal()).toMatchObject({ code: "archive-damaged", exit: 65 });
  });

  it("it is no database, another program's, or a newer one's", () => {
    bend(file, "pragma user_version = 1000");
    expect(refusal()).toMatchObject({ code: "archive-newer", exit: 65 });
    bend(file, "pragma application_id = 7");
    expect(refusal()).toMatchObject({ code: "not-an-archive", exit: 65 });
    writeFileSync(file, "a letter".repeat(1000));
    expect(refusal()).toMatchObject({ code: "not-an-archive", exit: 65 });
    writeFileSync(file, "");
    expect(refusal()).toMatchObject({ code: "not-an-archive", exit: 65 });
  });

  it("it is a folder or a device", () => {
    const into = office();
    expect(errorOf(() => take(into, dirname(file)))).toMatchObject({ code: "not-an-archive", exit: 65 });
    expect(errorOf(() => take(into, "/dev/zero"))).toMatchObject({ code: "not-an-archive", exit: 65 });
    into.close();
  });

  it("a rollback journal lies beside it, whose names SQLite would follow: the file it names stays", () => {
    const bystander = join(temporaryFolder(), "letter.txt");
    writeFileSync(bystander, "keep me");
    writeFileSync(`${file}-journal`, journalNaming(bystander));
    const into = office();
    expect(errorOf(() => take(into, file))).toMatchObject({ code: "archive-unclosed", exit: 74 });
    into.close();
    expect(readFileSync(bystander, "utf8")).toBe("keep me");
    expect(existsSync(`${file}-journal`)).toBe(true);
  });
});

it("a handover is read where nothing can be written", () => {
  chmodSync(file, 0o444);
  chmodSync(dirname(file), 0o555);
  const into = office();
  chmodSync(dirname(into.path), 0o777);
  withoutPrivilege(() => openForeign(file, into.path).close());
  expect(take(into, file)).toMatchObject({ taken: 1 });
  into.close();
});

it("one of an older version is taken", () => {
  const old = join(temporaryFolder(), "old.staunch");
  copyFileSync(file, old);
  bend(old, "drop table taken_altered; delete from migrations where number = 5; pragma user_version = 4");
  const into = office();
  expect(take(into, old)).toMatchObject({ taken: 1, refused: [] });
  into.close();
  openArchive(old, { mode: "read" }).close();
  new Database(old, { readonly: true }).close();
});
