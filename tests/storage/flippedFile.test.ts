/** One bit of the file itself the other way: it is refused in words or `verify` tells, and no flip shows another record as intact. */
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { beforeAll, expect, it } from "vitest";
import { verifyArchive } from "../../src/commands/verifyArchive.ts";
import { exitOf } from "../../src/commands/verifyWords.ts";
import { isStaunchError } from "../../src/core/errors.ts";
import { openForeign } from "../../src/storage/foreign.ts";
import { handOver } from "../../src/storage/handover.ts";
import { type Archive, openArchive } from "../../src/storage/open.ts";
import { temporaryFolder } from "../support/archives.ts";
import { contents } from "../support/merging.ts";
import { sealedBench, sealedRecord } from "../support/sealed.ts";

let bytes: Buffer = Buffer.alloc(0);
let trusted: ReadonlySet<string> = new Set();
beforeAll(async () => {
  const b = sealedBench();
  for (const id of ["one", "two"]) await sealedRecord(b, id);
  const out = join(temporaryFolder(), "given.staunch");
  handOver(b.archive, ["one", "two"], out, false);
  bytes = readFileSync(out);
  trusted = new Set([b.key.fingerprint]);
  b.archive.close();
});

const OPENS: readonly ((path: string) => Archive)[] = [(path) => openForeign(path, path), (path) => openArchive(path, { mode: "read" })];

/** Opens the file with one bit flipped; an error that is none of ours, with no words for people, fails the test. */
function withFlipped<T>(path: string, at: number, bit: number, open: (path: string) => Archive, action: (archive: Archive) => T): T | null {
  const flipped = Buffer.from(bytes);
  flipped[at] = (flipped[at] ?? 0) ^ (1 << bit);
  writeFileSync(path, flipped);
  try {
    const archive = open(path);
    try {
      return action(archive);
    } finally {
      archive.close();
    }
  } catch (error) {
    if (isStaunchError(error)) return null;
    throw new Error(`byte ${at}, bit ${bit}`, { cause: error });
  }
}

it("in its header or in the names of what SQLite made by itself, it is refused or read, and never a defect", { timeout: 120_000 }, () => {
  const path = join(temporaryFolder(), "flipped.staunch");
  const places = Array.from({ length: 100 }, (_, at) => at);
  const text = bytes.toString("latin1");
  for (let at = text.indexOf("sqlite_autoindex"); at >= 0; at = text.indexOf("sqlite_autoindex", at + 1))
    for (let near = at - 14; near < at + 40; near++) places.push(near);
  expect(places.length).toBeGreaterThan(400);
  let opened = 0;
  // The lowest bit of a column's type makes text of a blob and of a number none.
  for (const at of places) for (const open of OPENS) opened += withFlipped(path, at, at < 100 ? at % 8 : 0, open, () => 1) ?? 0;
  expect(opened).toBeGreaterThan(100);
});

it("anywhere, no record is shown as intact that is another than was handed over", { timeout: 120_000 }, () => {
  const path = join(temporaryFolder(), "flipped.staunch");
  writeFileSync(path, bytes);
  const sound = openForeign(path, path);
  const good = JSON.stringify(contents(sound));
  sound.close();
  const flips = fc.record({ at: fc.nat({ max: bytes.length - 1 }), bit: fc.nat({ max: 7 }), open: fc.constantFrom(...OPENS) });
  let told = 0;
  fc.assert(
    fc.property(flips, ({ at, bit, open }) => {
      const same = withFlipped(path, at, bit, open, (archive) => {
        const exit = exitOf(verifyArchive(archive, { trusted, subject: null, deep: false, counter: null }));
        return exit === 0 ? JSON.stringify(contents(archive)) === good : null;
      });
      expect(same).not.toBe(false);
      if (same === null) told++;
    }),
    { numRuns: 300 },
  );
  expect(told).toBeGreaterThan(30);
});
