import { chmodSync, copyFileSync, existsSync, mkdirSync, readdirSync, readFileSync, statSync, truncateSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { APPLICATION_ID } from "../../src/storage/migrate.ts";
import { openArchive } from "../../src/storage/open.ts";
import { loadAddon } from "../../src/storage/sqlite.ts";
import { temporaryFolder, withoutPrivilege } from "../support/archives.ts";
import { errorOf } from "../support/errors.ts";

const place = (): string => join(temporaryFolder(), "site.staunch");

/** An archive on disk, closed again. */
function made(): string {
  const path = place();
  openArchive(path, { mode: "write" }).close();
  return path;
}

/** A file another program made with SQLite. */
function foreign(sql: string): string {
  const path = place();
  const db = new Database(path);
  db.exec(sql);
  db.close();
  return path;
}

describe("openArchive for writing", () => {
  it("creates the folder, the file and an id that stays", () => {
    const path = join(temporaryFolder(), "deep", "er", "site.staunch");
    const first = openArchive(path, { mode: "write" });
    expect(first.id).toMatch(/^[0-9a-f]{32}$/);
    first.close();
    first.close();
    const second = openArchive(path, { mode: "write" });
    expect(second.id).toBe(first.id);
    second.close();
  });

  it("gives every archive its own id", () => {
    const ids = [made(), made()].map((path) => {
      const archive = openArchive(path, { mode: "read" });
      archive.close();
      return archive.id;
    });
    expect(ids[0]).not.toBe(ids[1]);
  });

  it("keeps its promises about power loss: WAL with synchronous FULL (2), foreign keys, no busy wait", () => {
    // The numbers are SQLite's own: pragma documentation, "synchronous".
    const { db, close } = bound(openArchive(place(), { mode: "write" }));
    expect(db.pragma("journal_mode", { simple: true })).toBe("wal");
    expect(db.pragma("synchronous", { simple: true })).toBe(2);
    expect(db.pragma("foreign_keys", { simple: true })).toBe(1);
    expect(db.pragma("busy_timeout", { simple: true })).toBe(0);
    expect(db.pragma("application_id", { simple: true })).toBe(APPLICATION_ID);
    close();
  });

  it("still has synchronous FULL after a write, when SQLite would apply its build's default", () => {
    const { db, close } = bound(openArchive(made(), { mode: "write" }));
    db.exec("insert into migrations values (99, 'x', 0)");
    expect(db.pragma("synchronous", { simple: true })).toBe(2);
    close();
  });

  it("takes an empty file as a new archive", () => {
    const path = place();
    writeFileSync(path, "");
    openArchive(path, { mode: "write" }).close();
    expect(statSync(path).size).toBeGreaterThan(0);
  });

  it("leaves one file behind when closed", () => {
    const path = made();
    expect(readdirSync(join(path, ".."))).toEqual(["site.staunch"]);
  });
});

function bound(archive: ReturnType<typeof openArchive>) {
  return { db: archive.db, close: () => archive.close() };
}

describe("what is not an archive is refused and left as it was", () => {
  const files: [string, () => string][] = [
    ["a text file", () => written("time_s,pressure_Pa\n0,1000\n")],
    ["three bytes", () => written("abc")],
    ["binary junk", () => written(Uint8Array.from({ length: 9000 }, (_, i) => (i * 167 + 13) % 256))],
    ["a database of another program", () => foreign("create table songs (title)")],
    ["a database with another application id", () => foreign("pragma application_id = 1; create table songs (title)")],
    ["another application's empty database", () => foreign("pragma application_id = 252006674; pragma user_version = 3")],
    [
      "a database that only claims to be ours",
      () => foreign(`pragma application_id = ${APPLICATION_ID}; pragma user_version = 1; create table t (x)`),
    ],
    [
      "one of ours with a trigger planted in it",
      () => {
        const path = made();
        const db = new Database(path);
        db.exec("create trigger ink after insert on records begin delete from ends; end");
        db.close();
        return path;
      },
    ],
  ];
  for (const [what, make] of files)
    for (const mode of ["write", "read"] as const)
      it(`${what}, to ${mode}`, () => {
        const path = make();
        const before = readFileSync(path);
        const error = errorOf(() => openArchive(path, { mode }));
        expect([error.code, error.exit]).toEqual(["not-an-archive", 65]);
        expect(error.message).toContain(path);
        expect(readFileSync(path).equals(before)).toBe(true);
      });

  it("an empty file, to read", () => {
    expect(errorOf(() => openArchive(written(""), { mode: "read" })).code).toBe("not-an-archive");
  });

  it("an archive of a newer program", () => {
    const path = made();
    const db = new Database(path);
    db.pragma("user_version = 1000");
    db.close();
    for (const mode of ["write", "read"] as const) {
      const error = errorOf(() => openArchive(path, { mode }));
      expect([error.code, error.exit]).toEqual(["archive-newer", 65]);
      expect(error.message).toContain("1000");
    }
  });

  it("a copy that broke off", () => {
    const path = made();
    truncateSync(path, statSync(path).size - 5000);
    for (const mode of ["write", "read"] as const) {
      const error = errorOf(() => openArchive(path, { mode }));
      expect([error.code, error.exit]).toEqual(["archive-damaged", 65]);
    }
  });

  it("a file that is not there, to read, without creating it", () => {
    const path = place();
    const error = errorOf(() => openArchive(path, { mode: "read" }));
    expect([error.code, error.exit]).toEqual(["archive-missing", 65]);
    expect(existsSync(path)).toBe(false);
  });

  it("a folder, and a path through a file", () => {
    const folder = temporaryFolder();
    expect(errorOf(() => openArchive(folder, { mode: "write" }))).toMatchObject({ code: "archive-cannot-open", exit: 74 });
    const file = written("x");
    expect(errorOf(() => openArchive(join(file, "site.staunch"), { mode: "write" }))).toMatchObject({
      code: "archive-cannot-open",
      exit: 74,
    });
  });
});

function written(bytes: string | Uint8Array): string {
  const path = place();
  writeFileSync(path, bytes);
  return path;
}

describe("an archive that another program holds locked", () => {
  it("is told as locked", () => {
    const path = made();
    const other = new Database(path);
    other.pragma("locking_mode = EXCLUSIVE");
    other.exec("begin immediate; insert into migrations values (99, 'x', 0); commit");
    for (const mode of ["write", "read"] as const)
      expect(errorOf(() => openArchive(path, { mode, wait_ms: 0 }))).toMatchObject({ code: "archive-locked", exit: 74 });
    other.close();
  });

  it("opens all the same while the other is only writing", () => {
    const path = made();
    const other = new Database(path);
    other.exec("begin immediate");
    for (const mode of ["write", "read"] as const) openArchive(path, { mode, wait_ms: 0 }).close();
    other.close();
  });
});

// Permission bits do not stop the superuser, so these tests act as a user whom they do stop.
describe("an archive that cannot be written", () => {
  it("is refused for writing when the file is read-only", () => {
    const path = made();
    chmodSync(path, 0o444);
    chmodSync(join(path, ".."), 0o777);
    expect(errorOf(() => withoutPrivilege(() => openArchive(path, { mode: "write" })))).toMatchObject({
      code: "archive-read-only",
      exit: 74,
    });
  });

  it("is refused for writing when the folder is read-only", () => {
    const path = made();
    chmodSync(path, 0o666);
    chmodSync(join(path, ".."), 0o555);
    expect(errorOf(() => withoutPrivilege(() => openArchive(path, { mode: "write" })))).toMatchObject({
      code: "archive-read-only",
      exit: 74,
    });
  });

  it("is refused when it or its folder cannot be created", () => {
    const folder = temporaryFolder();
    chmodSync(folder, 0o555);
    for (const path of [join(folder, "site.staunch"), join(folder, "deeper", "site.staunch")])
      expect(errorOf(() => withoutPrivilege(() => openArchive(path, { mode: "write" })))).toMatchObject({
        code: "archive-read-only",
        exit: 74,
      });
    expect(readdirSync(folder)).toEqual([]);
  });

  it("is read from a read-only file in a read-only folder, and nothing is put beside it", () => {
    const path = made();
    chmodSync(path, 0o444);
    chmodSync(join(path, ".."), 0o555);
    const archive = withoutPrivilege(() => openArchive(path, { mode: "read" }));
    expect(archive.id).toMatch(/^[0-9a-f]{32}$/);
    expect(() => archive.db.exec("delete from archive")).toThrow(expect.objectContaining({ code: "SQLITE_READONLY" }));
    archive.close();
    expect(readdirSync(join(path, ".."))).toEqual(["site.staunch"]);
  });

  it("is not read half when its log lies beside it on read-only media", () => {
    const path = made();
    const writing = openArchive(path, { mode: "write" });
    writing.db.exec("insert into migrations values (99, 'x', 0)");
    const folder = join(temporaryFolder(), "card");
    mkdirSync(folder);
    for (const tail of ["", "-wal"]) copyFileSync(`${path}${tail}`, join(folder, `site.staunch${tail}`));
    writing.close();
    chmodSync(folder, 0o555);
    const error = errorOf(() => withoutPrivilege(() => openArchive(join(folder, "site.staunch"), { mode: "read" })));
    expect([error.code, error.exit]).toEqual(["archive-read-only", 74]);
    chmodSync(folder, 0o755);
  });
});

describe("the addon", () => {
  it("that would not load is told with what to do", () => {
    // Node gives this code when a native addon was built for another Node (errors documentation, ERR_DLOPEN_FAILED).
    const broken = Object.assign(new Error("invalid ELF header"), { code: "ERR_DLOPEN_FAILED" });
    const error = errorOf(() =>
      loadAddon(() => {
        throw broken;
      }),
    );
    expect([error.code, error.exit, error.cause]).toEqual(["addon-not-loaded", 70, broken]);
    expect(error.hint).toContain("npm rebuild");
  });

  it("that is not there is told the same way", () => {
    const error = errorOf(() => loadAddon(() => new Database(":memory:", { nativeBinding: join(temporaryFolder(), "absent.node") })));
    expect(error.code).toBe("addon-not-loaded");
  });
});
