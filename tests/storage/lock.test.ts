import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { chmodSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, describe, expect, it } from "vitest";
import { lockArchive, lockHolder } from "../../src/storage/lock.ts";
import { openArchive } from "../../src/storage/open.ts";
import { temporaryFolder, withoutPrivilege } from "../support/archives.ts";
import { errorOf } from "../support/errors.ts";

const place = (): string => join(temporaryFolder(), "site.staunch");
const owner = (record: string) => ({ pid: 4711, host: "tailgate", since_wall_ms: Date.UTC(2026, 2, 1, 8, 15), record });

const children: ChildProcess[] = [];
afterEach(() => {
  for (const child of children.splice(0)) child.kill("SIGKILL");
});

/** Another process that holds the lock once this resolves. */
async function elsewhere(path: string, record: string): Promise<ChildProcess> {
  const script = new URL("../support/holdLock.ts", import.meta.url).pathname;
  const child = spawn(process.execPath, ["--import", "tsx", script, path, record], { stdio: ["pipe", "pipe", "inherit"] });
  children.push(child);
  const [said] = await once(child.stdout, "data");
  expect(String(said)).toBe("held\n");
  return child;
}

describe("lockArchive", () => {
  it("lets one test run and names it to the second", () => {
    const path = place();
    const lock = lockArchive(path, owner("20260301-081500-a1b2"));
    const error = errorOf(() => lockArchive(path, owner("second")));
    expect([error.code, error.exit]).toEqual(["archive-in-use", 74]);
    for (const part of ["20260301-081500-a1b2", "4711", "tailgate", "2026-03-01T08:15:00.000Z"]) expect(error.message).toContain(part);
    expect(lockHolder(path)).toEqual(owner("20260301-081500-a1b2"));
    lock.release();
  });

  it("is free again after release, and release may be said twice", () => {
    const path = place();
    const first = lockArchive(path, owner("first"));
    first.release();
    first.release();
    expect(lockHolder(path)).toBeNull();
    const second = lockArchive(path, owner("second"));
    expect(lockHolder(path)?.record).toBe("second");
    second.release();
  });

  it("locks each archive by itself and does not hinder reading or writing it", () => {
    const folder = temporaryFolder();
    const [one, two] = [join(folder, "one"), join(folder, "two")];
    const locks = [lockArchive(one, owner("a")), lockArchive(two, owner("b"))];
    openArchive(one, { mode: "write" }).close();
    openArchive(one, { mode: "read" }).close();
    for (const lock of locks) lock.release();
  });

  it("is free when nobody ever locked, and looking leaves nothing behind", () => {
    expect(lockHolder(place())).toBeNull();
  });

  it("is held across processes and goes with a killed one", async () => {
    const path = place();
    const child = await elsewhere(path, "20260301-081500-zzzz");
    const error = errorOf(() => lockArchive(path, owner("mine")));
    expect(error.code).toBe("archive-in-use");
    expect(error.message).toContain(`20260301-081500-zzzz (process ${child.pid}`);
    child.kill("SIGKILL");
    await once(child, "exit");
    expect(lockHolder(path)).toBeNull();
    lockArchive(path, owner("mine")).release();
  });

  it("refuses a side file that is not ours, and keeps it", () => {
    const path = place();
    writeFileSync(`${path}.lock`, "pid 12\n");
    for (const action of [() => lockArchive(path, owner("x")), () => lockHolder(path)])
      expect(errorOf(action)).toMatchObject({ code: "lock-broken", exit: 74 });
  });

  it("shows no control characters out of a side file", () => {
    const path = place();
    const lock = lockArchive(path, owner("a\u001b[2Jb"));
    expect(errorOf(() => lockArchive(path, owner("x"))).message).not.toContain("\u001b");
    lock.release();
  });

  it("says so when the folder cannot be written", () => {
    const path = place();
    chmodSync(join(path, ".."), 0o555);
    expect(errorOf(() => withoutPrivilege(() => lockArchive(path, owner("x"))))).toMatchObject({ code: "archive-read-only", exit: 74 });
  });

  it("never holds the lock under another's name, and lets it go when it cannot put its own on it", () => {
    // Another that slips in between our writing and our holding leaves its name there; a trigger does so every time.
    const path = place();
    lockArchive(path, owner("before")).release();
    const meddler = new Database(`${path}.lock`);
    meddler.exec("create trigger slip after insert on owner begin update owner set record = 'other', token = 'theirs'; end");
    expect(errorOf(() => lockArchive(path, owner("mine")))).toMatchObject({ code: "archive-in-use", exit: 74 });
    meddler.exec("drop trigger slip");
    meddler.close();
    lockArchive(path, owner("mine")).release();
  });
});
