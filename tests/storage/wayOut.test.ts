/** Files that are no files, and side files that lead elsewhere: SQLite would wait for ever, or delete what they name. */
import { spawnSync } from "node:child_process";
import { existsSync, lstatSync, mkdirSync, readFileSync, renameSync, statSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { handOver } from "../../src/storage/handover.ts";
import { lockHolder } from "../../src/storage/lock.ts";
import { openArchive } from "../../src/storage/open.ts";
import { temporaryFolder } from "../support/archives.ts";
import { errorOf } from "../support/errors.ts";
import { journalNaming } from "../support/journalNaming.ts";
import { crew, reopened } from "../support/merging.ts";

const pipeAt = (path: string): string => {
  expect(spawnSync("sh", ["-c", 'mkfifo "$0"', path]).status).toBe(0);
  return path;
};

describe("an archive is not opened when", () => {
  it("it is a pipe, which may never answer, or a device", () => {
    const pipe = pipeAt(join(temporaryFolder(), "pipe.staunch"));
    for (const mode of ["read", "write"] as const)
      expect(errorOf(() => openArchive(pipe, { mode }))).toMatchObject({ code: "not-an-archive", exit: 65 });
    expect(errorOf(() => openArchive("/dev/zero", { mode: "read" }))).toMatchObject({ code: "not-an-archive", exit: 65 });
  });

  it.each(["-journal", "-wal", "-shm"])("its %s is a pipe", async (end) => {
    const { path } = await crew("one");
    pipeAt(path + end);
    expect(errorOf(() => openArchive(path, { mode: "read" }))).toMatchObject({ code: "not-an-archive", exit: 65 });
  });

  it("a journal beside it, or beside its lock, names another file, which SQLite would delete", async () => {
    const { path } = await crew("one");
    const bystander = join(temporaryFolder(), "letter.txt");
    writeFileSync(bystander, "keep me");
    // Rollback-journal mode, as whoever lays such a trap would have it.
    reopened(path, ({ db }) => db.pragma("journal_mode = DELETE"));
    reopened(path, ({ db }) => db.exec(`vacuum into '${path}.lock'`));
    for (const end of ["", ".lock"]) {
      writeFileSync(`${path}${end}-journal`, journalNaming(bystander));
      const open = end === "" ? () => openArchive(path, { mode: "write" }) : () => lockHolder(path);
      expect(errorOf(open)).toMatchObject({ code: "archive-unclosed", exit: 74 });
      expect(readFileSync(bystander, "utf8")).toBe("keep me");
      renameSync(`${path}${end}-journal`, `${path}${end}-aside`);
    }
  });
});

describe("a handover is never put in the place of", () => {
  it("a folder, a pipe or a device, not even with force", async () => {
    const { path } = await crew("one");
    const folder = join(temporaryFolder(), "folder");
    mkdirSync(folder);
    const pipe = pipeAt(join(temporaryFolder(), "pipe"));
    reopened(path, (archive) => {
      for (const out of [folder, pipe, "/dev/null"])
        expect(errorOf(() => handOver(archive, ["one"], out, true))).toMatchObject({ code: "no-plain-file", exit: 64 });
    });
    expect([statSync(folder).isDirectory(), statSync(pipe).isFIFO(), statSync("/dev/null").isCharacterDevice()]).toEqual([
      true,
      true,
      true,
    ]);
  });

  it("a link that leads nowhere unasked; with force the link goes, and what it led to is not made", async () => {
    const { path } = await crew("one");
    const folder = temporaryFolder();
    const [link, target] = [join(folder, "link"), join(folder, "elsewhere")];
    symlinkSync(target, link);
    reopened(path, (archive) => {
      expect(errorOf(() => handOver(archive, ["one"], link, false))).toMatchObject({ code: "file-exists", exit: 64 });
      handOver(archive, ["one"], link, true);
    });
    expect([existsSync(target), lstatSync(link).isFile()]).toEqual([false, true]);
  });
});
